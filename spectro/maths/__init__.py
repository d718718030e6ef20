"""Interpolation on lattices, fitting, linear solvers; nothing here knows about colour."""
