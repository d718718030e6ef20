"""Greys of cyan, magenta and yellow: the triplets that stand for them, and the colour that such a grey is to have.

Reference: [Colour-check-values] grey balance: triplets, and the grey of a tinted paper in the form of [ISO-12647-2-2013], which
was noted from memory: a* = a*paper · (1 - 0.85 · (L*paper - L*) / (L*paper - L*cmy)), b* likewise.
"""

import functools

import numpy as np

from spectro.records.arrays import FloatArray
from spectro.standards.tables import load_table

FADE = 0.85  # share of the paper's tint that is gone at the darkest grey: Colour-check-values, from memory


@functools.cache
def _triplets() -> tuple[FloatArray, FloatArray]:
    table = load_table("grey_triplets.csv")
    return table.wavelengths, table.values


def grey_triplet(cyan: FloatArray) -> FloatArray:
    """Return cyan, magenta and yellow (n, 3), 0 to 1, of the greys named by their cyan (n,), 0 to 1.

    >>> grey_triplet(np.array([0.0, 0.25, 0.5, 1.0])).round(3).tolist()
    [[0.0, 0.0, 0.0], [0.25, 0.19, 0.19], [0.5, 0.4, 0.4], [1.0, 1.0, 1.0]]
    """
    from scipy.interpolate import PchipInterpolator

    at, others = _triplets()
    return np.column_stack([cyan, PchipInterpolator(at, others)(100 * np.asarray(cyan)) / 100])


def grey_tint(lightness: FloatArray, paper: FloatArray, darkest: float) -> FloatArray:
    """Return a*, b* (n, 2) that greys of L* (n,) are to have. paper: (3,) Lab; darkest: L* of the full overprint.

    The paper's tint fades towards the darkest grey, as the eye takes the paper for white.

    >>> grey_tint(np.array([95.0, 56.52]), np.array([95.0, 1.5, -6.0]), 23.26).round(3).tolist()
    [[1.5, -6.0], [0.816, -3.264]]
    """
    depth = (paper[0] - lightness) / (paper[0] - darkest)
    tint: FloatArray = paper[1:] * (1 - FADE * depth[:, None])
    return tint
