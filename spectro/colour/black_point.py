"""White and black moved, linear in tristimulus values: black points scaled, colours of one paper taken to another.

References: [ISO-18619] black point compensation; [ISO-13655-2017] tristimulus correction of measurement data for another
backing or substrate (the form from memory, the worked numbers of [Colour-check-values]).
"""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray


def scale_black(lab: ArrayLike, from_black_y: float, to_black_y: float) -> FloatArray:
    """Return Lab (..., 3) with a neutral black of Y from_black_y taken to one of Y to_black_y, white kept; Y in 0 to 1."""
    white = np.asarray(D50_PCS)
    scale = (1 - to_black_y) / (1 - from_black_y)
    return xyz_to_lab(lab_to_xyz(lab) * scale + (1 - scale) * white)


LIMIT = 5.0  # ΔE00 between the papers up to which the correction is meant; [Colour-check-values]


def substrate_corrected(lab: ArrayLike, old_white: ArrayLike, new_white: ArrayLike, darkest: ArrayLike) -> FloatArray:
    """Return Lab (..., 3) as it would be on another paper.

    old_white, new_white, darkest: (3,) Lab; darkest is the colour that does not move. Each of X, Y, Z is scaled so that
    old_white becomes new_white and darkest stays. Raises InputError where the darkest is not darker than the paper.

    >>> substrate_corrected([56.12, -34.9, -52.52], [95, 1.5, -6], [92, 0.5, 2], [23.26, -1.43, -1.68]).round(2).tolist()
    [54.42, -34.0, -43.88]
    """
    return ends_moved(lab, (old_white, new_white), (darkest, darkest))


def ends_moved(lab: ArrayLike, white: tuple[ArrayLike, ArrayLike], black: tuple[ArrayLike, ArrayLike]) -> FloatArray:
    """Return Lab (..., 3) with X, Y, Z scaled and shifted so that an old white and black become the new ones.

    white, black: Lab (3,) before and after. Raises InputError where the old black is not darker than the old white.
    """
    old_white, new_white = (lab_to_xyz(values) for values in white)
    old_black, new_black = (lab_to_xyz(values) for values in black)
    if np.any(old_black >= old_white):
        raise InputError("a darkest colour that is as light as the paper", "a print with dark colours", "Check the readings.")
    scale = (new_white - new_black) / (old_white - old_black)
    return xyz_to_lab(new_black + (lab_to_xyz(lab) - old_black) * scale)
