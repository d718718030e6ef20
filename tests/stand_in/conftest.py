"""Colour of the stand-in's spectra from an outside library, so that its colours are not judged by our own."""

import warnings
from collections.abc import Callable

import numpy as np
import pytest


def _outside():
    options = np.get_printoptions()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of optional parts that are not installed
        import colour
    np.set_printoptions(**options)  # the library changes how numpy prints, which doctests would see
    return colour


@pytest.fixture(scope="session")
def lab_of() -> Callable[[np.ndarray], np.ndarray]:
    """Reflectance (..., 36) to Lab, D50 and 2°, plain 10 nm sums with their own white."""
    colour = _outside()
    shape = colour.SpectralShape(380, 730, 10)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(shape).values
    weights = observer * light[:, None] / (observer[:, 1] @ light)
    white = weights.sum(axis=0)

    def lab(reflectance):
        return colour.XYZ_to_Lab(reflectance @ weights, colour.XYZ_to_xy(white))

    return lab


@pytest.fixture(scope="session")
def delta_e_of() -> Callable[[np.ndarray, np.ndarray], np.ndarray]:
    """ΔE00 of two arrays of Lab."""
    colour = _outside()
    return lambda first, second: colour.delta_E(first, second, method="CIE 2000")
