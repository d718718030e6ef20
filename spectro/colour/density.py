"""Reflection density from spectra.

References: [ISO-5-3] status T, E, A, M and visual density; [ISO-5-4] reflection geometry, 45°/0°.
The spectral products are tabulated at 10 nm, 340 to 830 nm.
"""

import functools

import numpy as np

from spectro.colour.weights import check_wavelengths, lagrange_matrix
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats
from spectro.standards.tables import load_table

STATUSES = ("T", "E", "A", "M")
CHANNELS = ("visual", "red", "green", "blue")
"""Order of the channels. Red light judges cyan ink, green magenta, blue yellow, visual black and greys."""

LEAST_REFLECTANCE = 1e-6  # density 6: noise at or below zero is taken for this


@functools.lru_cache(maxsize=32)
def _weights(wavelengths: bytes, status: str) -> FloatArray:
    table = load_table("density_status.csv")
    names = ["visual", *(f"{status}_{colour}" for colour in CHANNELS[1:])]
    products = table.values[:, [table.names.index(name) for name in names]]
    weights = lagrange_matrix(np.frombuffer(wavelengths), table.wavelengths).T @ (products / products.sum(axis=0))
    return frozen_floats(weights)


def density_weights(wavelengths: ArrayLike, status: str = "T") -> FloatArray:
    """Return the weights (bands, 4) of visual, red, green, blue; each column sums to 1.

    wavelengths: (bands,), nm, rising, at most 20 nm apart, at least 420 to 680. Spectra at other wavelengths than the
    tables' are interpolated to them by cubic Lagrange polynomials; absent ends take the outermost band's value.
    Raises InputError for another status or such wavelengths.
    """
    wanted = status.strip().upper()
    if wanted not in STATUSES:
        raise InputError(f"status {status!r}", "one of " + ", ".join(STATUSES), "Choose one of these with `status`.")
    nodes = np.asarray(wavelengths, dtype=np.float64)
    check_wavelengths(nodes)
    return _weights(nodes.tobytes(), wanted)


def density(reflectance: ArrayLike, wavelengths: ArrayLike, status: str = "T") -> FloatArray:
    """Return absolute density (..., 4), visual, red, green, blue, of reflectance factors (..., bands).

    The perfect diffuser has density 0. Densities above 6 are not told apart.

    >>> density(np.full(36, 0.1), np.arange(380.0, 731.0, 10.0)).round(6).tolist()
    [1.0, 1.0, 1.0, 1.0]
    """
    values = np.asarray(reflectance, dtype=np.float64)
    weights = density_weights(wavelengths, status)
    if values.shape[-1:] != weights.shape[:1]:
        raise ShapeError(f"reflectance has shape {values.shape}; expected (..., {len(weights)}), the bands of the weights")
    return np.asarray(-np.log10(np.maximum(values @ weights, LEAST_REFLECTANCE)) + 0.0)


def paper_relative_density(absolute: ArrayLike, paper: ArrayLike) -> FloatArray:
    """Return density (..., 4) above that of the paper (4,); the paper's own is 0."""
    return np.asarray(np.asarray(absolute, dtype=np.float64) - np.asarray(paper, dtype=np.float64))
