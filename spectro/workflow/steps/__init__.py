"""What several commands do on their way: a printer fitted to its readings, files of reports checked."""
