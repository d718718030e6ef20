"""The command line: one file a command. It parses, calls `spectro.workflow` and prints."""
