"""Tables of standards as data files, and their loader."""
