"""Measurement files become measurement sets: what a table means, joins with charts, averages of repeats."""
