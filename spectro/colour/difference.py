"""Colour differences.

References: [ISO-CIE-11664-6] CIEDE2000; [Sharma-2005] implementation notes and test pairs.
"""

import numpy as np

from spectro.records.arrays import ArrayLike, FloatArray

_BLOCK = 4096  # rows at a time: keeps the temporaries in the processor's cache
_SEVENTH = 25.0**7


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return ΔE*ab, the Euclidean distance (...) of two Lab arrays (..., 3)."""
    difference = np.asarray(lab_1, dtype=np.float64) - np.asarray(lab_2, dtype=np.float64)
    return np.asarray(np.sqrt((difference**2).sum(axis=-1)))


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return CIEDE2000 (...) of two Lab arrays (..., 3) that broadcast against each other; kL = kC = kH = 1.

    Symmetric in its arguments. Any real Lab is legal.

    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    first, second = np.broadcast_arrays(np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64))
    shape = first.shape[:-1]
    first, second = first.reshape(-1, 3), second.reshape(-1, 3)
    result = np.empty(len(first))
    for start in range(0, len(first), _BLOCK):
        stop = start + _BLOCK
        result[start:stop] = _ciede2000(first[start:stop].T, second[start:stop].T)
    return result.reshape(shape)


def _ciede2000(first: FloatArray, second: FloatArray) -> FloatArray:
    """CIEDE2000 of (3, n) against (3, n)."""
    l1, a1, b1 = first
    l2, a2, b2 = second
    mean_chroma_7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    stretch = 1.5 - 0.5 * np.sqrt(mean_chroma_7 / (mean_chroma_7 + _SEVENTH))
    x1, x2 = stretch * a1, stretch * a2
    c1, c2 = np.hypot(x1, b1), np.hypot(x2, b2)
    h1, h2 = np.arctan2(b1, x1), np.arctan2(b2, x2)

    turn = h2 - h1
    turn -= 2 * np.pi * np.round(turn / (2 * np.pi))
    grey = c1 * c2 == 0
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.where(grey, 0.0, turn) / 2)
    dl, dc = l2 - l1, c2 - c1

    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2
    h1, h2 = h1 % (2 * np.pi), h2 % (2 * np.pi)
    apart = np.abs(h1 - h2) > np.pi
    total = h1 + h2
    mean_h = np.where(grey, total, (total + np.where(apart, np.where(total < 2 * np.pi, 2 * np.pi, -2 * np.pi), 0.0)) / 2)

    weight_t = (
        1
        - 0.17 * np.cos(mean_h - np.pi / 6)
        + 0.24 * np.cos(2 * mean_h)
        + 0.32 * np.cos(3 * mean_h + np.pi / 30)
        - 0.20 * np.cos(4 * mean_h - 63 * np.pi / 180)
    )
    rotation_angle = np.pi / 3 * np.exp(-(((np.degrees(mean_h) - 275) / 25) ** 2))
    mean_c_7 = mean_c**7
    rotation = -2 * np.sqrt(mean_c_7 / (mean_c_7 + _SEVENTH)) * np.sin(rotation_angle)
    offset = (mean_l - 50) ** 2
    term_l = dl / (1 + 0.015 * offset / np.sqrt(20 + offset))
    term_c = dc / (1 + 0.045 * mean_c)
    term_h = dh / (1 + 0.015 * mean_c * weight_t)
    squared = term_l**2 + term_c**2 + term_h**2 + rotation * term_c * term_h
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))
