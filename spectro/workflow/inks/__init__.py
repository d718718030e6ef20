"""The commands of `spectro inks`."""
