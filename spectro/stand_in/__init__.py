"""The invented printer, paper and instrument of the demo and the tests."""
