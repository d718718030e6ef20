"""One file a command of `spectro aim`."""
