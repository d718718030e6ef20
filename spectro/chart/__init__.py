"""Charts: which patches, in which order, where on which page, and the page files."""
