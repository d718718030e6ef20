"""Gamut boundaries and volumes."""
