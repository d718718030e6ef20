"""Spectral readings in, printer profiles and decisions out.

The public functions are in `spectro.workflow` (one a command), the records in `spectro.records`, colour arithmetic in
`spectro.colour`. Importing this package alone loads nothing heavy.
"""
