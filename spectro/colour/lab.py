"""CIE 1976 L*a*b* and back.

Reference: [CIE-15-2018] CIE 1976 (L*a*b*) colour space; the break point and slope as the exact fractions 216/24389
and 24389/27.
"""

import numpy as np

from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

D50_PCS = frozen_floats([96.42, 100.0, 82.49])
"""XYZ of the ICC profile connection space illuminant, Y = 100. [ICC.1-2022] profile connection space."""

_BREAK = 216 / 24389
_SLOPE = 24389 / 27


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = D50_PCS) -> FloatArray:
    """Return CIELAB of tristimulus values (..., 3), relative to white (3,), both on one scale.

    Values of zero or below are legal (noise of dark readings) and lie on the straight part of the curve.

    >>> xyz_to_lab([20.0, 20.0, 20.0], [96.422, 100.0, 82.521]).round(4).tolist()
    [51.8372, 3.573, -7.7351]
    """
    ratio = np.asarray(xyz, dtype=np.float64) / np.asarray(white, dtype=np.float64)
    curve = np.where(ratio > _BREAK, np.cbrt(ratio), (_SLOPE * ratio + 16) / 116)
    x, y, z = curve[..., 0], curve[..., 1], curve[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = D50_PCS) -> FloatArray:
    """Return tristimulus values (..., 3) of CIELAB (..., 3), on the scale of white (3,).

    >>> lab_to_xyz([100.0, 0.0, 0.0]).round(6).tolist()
    [96.42, 100.0, 82.49]
    """
    lab = np.asarray(lab, dtype=np.float64)
    y = (lab[..., 0] + 16) / 116
    curve = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    ratio = np.where(curve > 6 / 29, curve**3, (116 * curve - 16) / _SLOPE)
    xyz: FloatArray = ratio * np.asarray(white, dtype=np.float64)
    return xyz
