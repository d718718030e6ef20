"""Figures and pages from finished results; the only room with the plotting library."""
