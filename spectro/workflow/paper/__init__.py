"""Commands of `paper`, one file each."""
