"""Commands of charts: made, adopted, laid out again, shown, and the test of print paths."""
