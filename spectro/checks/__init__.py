"""Numbers that judge: colour-difference statistics, round trips, the expected error of a print."""
