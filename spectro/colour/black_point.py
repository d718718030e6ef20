"""Scaling between two black points, linear in tristimulus values. Reference: [ISO-18619], black point compensation."""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import ArrayLike, FloatArray


def scale_black(lab: ArrayLike, from_black_y: float, to_black_y: float) -> FloatArray:
    """Return Lab (..., 3) with a neutral black of Y from_black_y taken to one of Y to_black_y, white kept; Y in 0 to 1."""
    white = np.asarray(D50_PCS)
    scale = (1 - to_black_y) / (1 - from_black_y)
    return xyz_to_lab(lab_to_xyz(lab) * scale + (1 - scale) * white)
