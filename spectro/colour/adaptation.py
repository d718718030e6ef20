"""Chromatic adaptation between whites, and between media-relative and absolute colorimetry.

References: [ICC.1-2022] chromaticAdaptationTag (the linear Bradford transform); media-relative colorimetry.
"""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
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
