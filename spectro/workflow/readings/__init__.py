"""The ways of `spectro readings`."""
