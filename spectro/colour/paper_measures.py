"""Brightness, yellowness and opacity of paper; colours carried over to another paper.

References: [ISO-2470-1] and [SCAN-G-5] diffuse blue reflectance factor R457; [ASTM-E313] yellowness; [ISO-13655-2017] opacity
of two backings; [ISO-2471] opacity of paper. Brightness and opacity of those standards want a diffuse geometry: from 45°/0°
readings they are estimates. [ISO-15339-1-2015] tristimulus correction for another substrate: its form is from memory and was
checked against a worked example.
"""

import numpy as np

from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.colour.weights import check_wavelengths, lagrange_matrix
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.standards.tables import load_table

_YELLOWNESS = {
    ("C", 2): (1.2769, 1.0592),
    ("D65", 2): (1.2985, 1.1335),
    ("C", 10): (1.2871, 1.0781),
    ("D65", 10): (1.3013, 1.1498),
}


def brightness_r457(reflectance: ArrayLike, wavelengths: ArrayLike) -> FloatArray:
    """Return R457 (...), %, of reflectance factors (..., bands); above 100 is legal (brightened paper).

    wavelengths: (bands,), nm, from 420 or less; interpolated to 5 nm by cubic Lagrange polynomials.

    >>> float(brightness_r457(np.full(36, 0.85), np.arange(380.0, 731.0, 10.0)).round(6))
    85.0
    """
    values = np.asarray(reflectance, dtype=np.float64)
    nodes = np.asarray(wavelengths, dtype=np.float64)
    check_wavelengths(nodes)
    if values.shape[-1:] != nodes.shape:
        raise ShapeError(f"reflectance has shape {values.shape}; expected (..., {len(nodes)}), one a wavelength")
    table = load_table("brightness_r457.csv")
    weights = lagrange_matrix(nodes, table.wavelengths).T @ (table.values[:, 0] / table.values[:, 0].sum())
    return np.asarray(100 * (values @ weights))


def yellowness_e313(xyz: ArrayLike, illuminant: str = "D65", observer: int = 10) -> FloatArray:
    """Return yellowness index YI (...) of XYZ (..., 3) under illuminant C or D65; 0 for the perfect diffuser.

    Raises InputError for another light and for Y of zero.

    >>> float(yellowness_e313([80, 83, 90]).round(3))
    0.749
    """
    key = (illuminant.strip().upper(), observer)
    if key not in _YELLOWNESS:
        raise InputError(f"{illuminant} and {observer}° for yellowness", "C or D65, 2 or 10", "Choose one of these.")
    values = np.asarray(xyz, dtype=np.float64)
    if np.any(values[..., 1] <= 0):
        raise InputError("a colour with Y of zero", "the colour of a paper", "Check which patch is the paper.")
    of_x, of_z = _YELLOWNESS[key]
    return np.asarray(100 * (of_x * values[..., 0] - of_z * values[..., 2]) / values[..., 1])


def opacity(y_over_black: float, y_over_white: float) -> float:
    """Return opacity, %: Y of the unprinted sheet over a black backing, of that over a white one.

    The contrast-ratio form. A sheet over an endless pile of itself in the place of the white backing gives the form of
    ISO 2471. Raises InputError for Y of zero or below.

    >>> round(opacity(78.4, 87.6), 1)
    89.5
    """
    if not (y_over_white > 0 and y_over_black >= 0):
        raise InputError(f"Y {y_over_black:g} and {y_over_white:g}", "Y above 0", "Check which patch is the paper.")
    return 100 * y_over_black / y_over_white


def on_another_paper(lab: ArrayLike, paper: ArrayLike, other: ArrayLike, darkest: ArrayLike) -> FloatArray:
    """Return colours (..., 3), Lab, as they would be on another paper: X' = X·(1 + C) - Xmin·C, and so for Y and Z.

    C = (Xother - Xpaper) / (Xpaper - Xmin): the paper becomes the other one, the darkest colour stays, all between follow
    linearly in XYZ. paper, other, darkest: Lab (3,). Raises InputError where paper and darkest are the same in X, Y or Z.

    >>> on_another_paper([[95, 1.5, -6.0]], [95, 1.5, -6.0], [92, 0.5, 2.0], [23.26, -1.43, -1.68]).round(6).tolist()
    [[92.0, 0.5, 2.0]]
    """
    before, after, least = (lab_to_xyz(np.asarray(one, dtype=np.float64)) for one in (paper, other, darkest))
    reach = before - least
    if np.any(reach == 0):
        raise InputError("a darkest colour as light as the paper", "a darker one", "Check which patch is the paper.")
    share = (after - before) / reach
    xyz = lab_to_xyz(np.asarray(lab, dtype=np.float64))
    return np.asarray(xyz_to_lab(np.maximum(xyz * (1 + share) - least * share, 0.0)))
