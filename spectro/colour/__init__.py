"""Spectrum to tristimulus values to Lab, chromatic adaptation, colour difference."""
