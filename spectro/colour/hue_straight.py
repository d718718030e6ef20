"""A space with straight hue lines, in which gamut mapping keeps the hue.

Reference: [Ottosson-2020], the space called Oklab, from D65 tristimulus values; here its numbers are times 100, so that a
unit is about as large as one of CIELAB. In CIELAB itself, lines of constant hue angle bend towards purple in the blues.
"""

import numpy as np

from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

_D65 = frozen_floats([95.047, 100.0, 108.883])
_TO_CONES = frozen_floats(
    [
        [0.8189330101, 0.3618667424, -0.1288597137],
        [0.0329845436, 0.9293118715, 0.0361456387],
        [0.0482003018, 0.2643662691, 0.6338517070],
    ]
)
_TO_AXES = frozen_floats(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def _cones_from_d50() -> FloatArray:
    """D50 XYZ (Y = 100) to cone responses, the D50 white taken to the equal-response white exactly."""
    matrix = _TO_CONES @ bradford_matrix(D50_PCS, _D65) / 100
    scaled: FloatArray = matrix / (matrix @ D50_PCS)[:, None]
    return scaled


_CONES = frozen_floats(_cones_from_d50())
_AXES = frozen_floats(100 * _TO_AXES)


def lab_to_hue_straight(lab: ArrayLike) -> FloatArray:
    """Return lightness, redness, yellowness (..., 3) of CIELAB (..., 3), D50; white is 100 0 0. Any Lab is legal."""
    cones = lab_to_xyz(lab) @ _CONES.T
    axes: FloatArray = np.cbrt(cones) @ _AXES.T
    return axes


def hue_straight_to_lab(values: ArrayLike) -> FloatArray:
    """Return CIELAB (..., 3), D50; the inverse of `lab_to_hue_straight`."""
    cones = (np.asarray(values, dtype=np.float64) @ np.linalg.inv(_AXES).T) ** 3
    return xyz_to_lab(cones @ np.linalg.inv(_CONES).T)
