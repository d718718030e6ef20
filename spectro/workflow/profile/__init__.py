"""One file a command of `spectro profile`."""
