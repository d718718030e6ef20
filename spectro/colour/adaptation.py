"""Chromatic adaptation between whites, and between media-relative and absolute colorimetry; corresponding colours.

References: [ICC.1-2022] chromaticAdaptationTag (the linear Bradford transform), media-relative colorimetry; [CIE-159-2004]
CAT02; [Li-2017] CAT16; [Li-2002] CMCCAT2000. CAT02, CAT16 and Bradford are used with full adaptation, as a plain scaling of
cone-like responses.
"""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

BRADFORD = frozen_floats([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def bradford_matrix(source_white: ArrayLike, target_white: ArrayLike) -> FloatArray:
    """Return the 3 by 3 matrix that takes XYZ seen under source_white to XYZ under target_white (each (3,), one scale).

    >>> bradford_matrix([95.047, 100, 108.883], [96.42, 100, 82.49])[0].round(4).tolist()
    [1.0478, 0.0229, -0.0502]
    """
    ratio = (BRADFORD @ np.asarray(target_white, dtype=np.float64)) / (BRADFORD @ np.asarray(source_white, dtype=np.float64))
    matrix: FloatArray = np.linalg.inv(BRADFORD) @ (ratio[:, None] * BRADFORD)
    return matrix


def absolute_to_relative(lab: ArrayLike, media_white_xyz: ArrayLike) -> FloatArray:
    """Return media-relative Lab (..., 3) of absolute Lab, XYZ scaled so that media_white_xyz (3,) becomes the PCS white."""
    return xyz_to_lab(lab_to_xyz(lab) * (D50_PCS / np.asarray(media_white_xyz, dtype=np.float64)))


def relative_to_absolute(lab: ArrayLike, media_white_xyz: ArrayLike) -> FloatArray:
    """Return absolute Lab (..., 3) of media-relative Lab; the inverse of `absolute_to_relative`."""
    return xyz_to_lab(lab_to_xyz(lab) * (np.asarray(media_white_xyz, dtype=np.float64) / D50_PCS))


CAT02 = frozen_floats([[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]])
CAT16 = frozen_floats([[0.401288, 0.650173, -0.051461], [-0.250268, 1.204414, 0.045854], [-0.002079, 0.048952, 0.953127]])
CMCCAT2000 = frozen_floats([[0.7982, 0.3389, -0.1371], [-0.5918, 1.5512, 0.0406], [0.0008, 0.0239, 0.9753]])
TRANSFORMS = ("CAT02", "CAT16", "Bradford", "CMCCAT2000")
_FULL = {"CAT02": CAT02, "CAT16": CAT16, "BRADFORD": BRADFORD}


def corresponding_colour(
    xyz: ArrayLike, source_white: ArrayLike, target_white: ArrayLike, transform: str = "CAT02", luminance: float = 200.0
) -> FloatArray:
    """Return XYZ (..., 3) under target_white that look like xyz (..., 3) under source_white, whites (3,) with Y = 100.

    transform: one of TRANSFORMS. luminance: cd/m² of both adapting fields, for CMCCAT2000 alone, which adapts in part.
    Raises InputError for another transform.

    >>> corresponding_colour([22.48, 22.74, 8.54], [111.15, 100, 35.20], [94.81, 100, 107.30], "CMCCAT2000").round(2).tolist()
    [19.53, 23.07, 24.97]
    """
    values = np.asarray(xyz, dtype=np.float64)
    source, target = np.asarray(source_white, dtype=np.float64), np.asarray(target_white, dtype=np.float64)
    name = transform.strip().upper()
    if name == "CMCCAT2000":
        if not luminance > 0:
            raise InputError(f"an adapting luminance of {luminance:g} cd/m²", "more than 0", "200 is usual.")
        degree = float(np.clip(0.08 * np.log10(luminance) + 0.76, 0.0, 1.0))  # of adaptation, both fields equally bright
        of_source, of_target = CMCCAT2000 @ source, CMCCAT2000 @ target
        factors = degree * (source[1] / target[1]) * of_target / of_source + 1 - degree
        return np.asarray((values @ CMCCAT2000.T * factors) @ np.linalg.inv(CMCCAT2000).T)
    if name not in _FULL:
        raise InputError(f"the adaptation {transform!r}", "one of " + ", ".join(TRANSFORMS), "Choose one of these.")
    matrix = _FULL[name]
    factors = (matrix @ target) / (matrix @ source)
    return np.asarray((values @ matrix.T * factors) @ np.linalg.inv(matrix).T)
