"""Frozen records in which the steps meet. No arithmetic of colour."""
