"""Colour differences whose weights come from the standard: exchanging standard and sample changes the number.

References: [CIE-116-1995] ΔE94; [BS-6923-1988] CMC(l:c).
"""

import numpy as np

from spectro.colour.difference import difference_parts
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray


def delta_e_94(standard: ArrayLike, sample: ArrayLike, *, textiles: bool = False) -> FloatArray:
    """Return ΔE*94 (...) of sample from standard, Lab (..., 3) that broadcast against each other.

    Graphic arts: kL = 1, K1 = 0.045, K2 = 0.015. textiles: kL = 2, K1 = 0.048, K2 = 0.014. kC = kH = 1.

    >>> round(float(delta_e_94([50, 0, 0], [50, -1, 2])), 4), round(float(delta_e_94([50, -1, 2], [50, 0, 0])), 4)
    (2.2361, 2.0316)
    """
    parts = difference_parts(standard, sample)
    first = np.asarray(standard, dtype=np.float64)
    chroma = np.hypot(first[..., 1], first[..., 2])
    weight_l, k1, k2 = (2.0, 0.048, 0.014) if textiles else (1.0, 0.045, 0.015)
    squared = (parts.lightness / weight_l) ** 2 + (parts.chroma / (1 + k1 * chroma)) ** 2 + (parts.hue / (1 + k2 * chroma)) ** 2
    return np.asarray(np.sqrt(squared))


def delta_e_cmc(standard: ArrayLike, sample: ArrayLike, *, lightness: float = 2.0, chroma: float = 1.0) -> FloatArray:
    """Return ΔE CMC(lightness:chroma) (...) of sample from standard, Lab (..., 3); 2:1 acceptability, 1:1 perceptibility.

    Raises InputError for factors that are not positive.
    """
    if not (lightness > 0 and chroma > 0):
        raise InputError(f"CMC({lightness:g}:{chroma:g})", "two positive factors", "Use 2:1 or 1:1.")
    parts = difference_parts(standard, sample)
    first = np.asarray(standard, dtype=np.float64)
    l1, a1, b1 = first[..., 0], first[..., 1], first[..., 2]
    c1 = np.hypot(a1, b1)
    h1 = np.degrees(np.arctan2(b1, a1)) % 360
    weight_l = np.where(l1 < 16, 0.511, 0.040975 * l1 / (1 + 0.01765 * np.maximum(l1, 0.0)))
    weight_c = 0.0638 * c1 / (1 + 0.0131 * c1) + 0.638
    fourth = c1**4
    f = np.sqrt(fourth / (fourth + 1900))
    t = np.where(
        (h1 >= 164) & (h1 <= 345),
        0.56 + np.abs(0.2 * np.cos(np.radians(h1 + 168))),
        0.36 + np.abs(0.4 * np.cos(np.radians(h1 + 35))),
    )
    weight_h = weight_c * (f * t + 1 - f)
    squared = (
        (parts.lightness / (lightness * weight_l)) ** 2
        + (parts.chroma / (chroma * weight_c)) ** 2
        + (parts.hue / weight_h) ** 2
    )
    return np.asarray(np.sqrt(squared))
