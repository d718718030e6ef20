"""Tone value of a tint between paper and solid, 0 to 100 %, and its increase over the value that was sent.

References: [ISO-12647-1] tone value from densities (Murray-Davies); [Yule-Nielsen-1951]; [ISO-20654] spot colour tone value.
"""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray, IntArray

_BREAK, _SLOPE = 216 / 24389, 24389 / 27
_ON_THE_WAY = 1e-3  # of full tone; steps of 1/255 are ten times as wide


def tone_value_murray_davies(tint: ArrayLike, paper: ArrayLike, solid: ArrayLike, n: float = 1.0) -> FloatArray:
    """Return tone value (...), %, from densities of tint, paper and solid that broadcast against each other.

    n: the factor of Yule and Nielsen; 1 is the plain formula of Murray and Davies. Paper gives 0, the solid 100.
    Raises InputError where the solid is no denser than the paper, or n is below 1.

    >>> round(float(tone_value_murray_davies(0.35, 0.0, 1.40)), 3), round(float(tone_value_murray_davies(0.35, 0, 1.4, 1.7)), 3)
    (57.626, 44.422)
    """
    if not n >= 1:
        raise InputError(f"a Yule-Nielsen factor of {n:g}", "1 or more", "Use 1 for Murray-Davies, about 1.7 for offset.")
    base = np.asarray(paper, dtype=np.float64)
    full = np.asarray(solid, dtype=np.float64) - base
    if np.any(full <= 0):
        raise InputError("a solid no denser than the paper", "a denser solid", "Check which patch is the paper.")
    absorbed = 1 - 10 ** (-(np.asarray(tint, dtype=np.float64) - base) / n)
    return np.asarray(100 * absorbed / (1 - 10 ** (-full / n)))


def spot_colour_tone_value(tint: ArrayLike, paper: ArrayLike, solid: ArrayLike, white: ArrayLike) -> FloatArray:
    """Return the spot colour tone value (...), %, from XYZ of tint (..., 3), paper (3,) and solid (3,) under one light.

    white: XYZ (3,) of the perfect diffuser. Paper gives 0, the solid 100. Raises InputError where both are one colour.
    """
    scale = np.asarray(white, dtype=np.float64)
    of_tint, of_paper, of_solid = (_lightness_like(np.asarray(xyz, dtype=np.float64) / scale) for xyz in (tint, paper, solid))
    return _share_of_way(of_tint, of_paper, of_solid)


def spot_colour_tone_value_of_lab(tint: ArrayLike, paper: ArrayLike, solid: ArrayLike) -> FloatArray:
    """Return the spot colour tone value (...), %, from Lab (..., 3), which holds the same three values by itself."""
    of_tint, of_paper, of_solid = (np.asarray(lab, dtype=np.float64) @ _FROM_LAB for lab in (tint, paper, solid))
    return _share_of_way(of_tint, of_paper, of_solid)


def _share_of_way(tint: FloatArray, paper: FloatArray, solid: FloatArray) -> FloatArray:
    reach = np.sqrt(((solid - paper) ** 2).sum(axis=-1))
    if np.any(reach == 0):
        raise InputError("a solid of the paper's colour", "another colour", "Check which patch is the paper.")
    return np.asarray(100 * np.sqrt(((tint - paper) ** 2).sum(axis=-1)) / reach)


def tone_value_increase(measured: ArrayLike, sent: ArrayLike) -> FloatArray:
    """Return tone value increase (...), percentage points: measured tone value, %, less the value sent, %."""
    return np.asarray(np.asarray(measured, dtype=np.float64) - np.asarray(sent, dtype=np.float64))


def ramp_rows(device: ArrayLike, paper: int, solid: int) -> tuple[IntArray, FloatArray]:
    """Return the rows on the straight way from paper to solid, by device values (n, channels), and what was sent (k,), %.

    paper, solid: rows. Raises InputError where both were sent alike.
    """
    values = np.asarray(device, dtype=np.float64)
    start, way = values[paper], values[solid] - values[paper]
    length = float(way @ way)
    if length == 0:
        raise InputError("paper and solid with the same device values", "two different patches", "Correct `solid` or `paper`.")
    share = (values - start) @ way / length
    off = np.abs(values - start - share[:, None] * way).max(axis=1)
    rows = np.flatnonzero((off <= _ON_THE_WAY) & (share >= -_ON_THE_WAY) & (share <= 1 + _ON_THE_WAY))
    return rows, 100 * share[rows]


def _lightness_like(ratio: FloatArray) -> FloatArray:
    """116·f(t) - 16 of X, Y and Z each."""
    return np.asarray(np.where(ratio > _BREAK, 116 * np.cbrt(ratio) - 16, _SLOPE * ratio))


_FROM_LAB = np.array([[1.0, 1.0, 1.0], [116 / 500, 0.0, 0.0], [0.0, 0.0, -116 / 200]])
