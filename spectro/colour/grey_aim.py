"""The absolute Lab that an aim asks of printed greys: paper at one end, the aimed tint on the way to black.

The paper's own colour cannot be printed away, so every aim begins there. Paper hue: all tristimulus values fall in one
proportion, which is neutral relative to the paper [ICC.1-2022, media-relative colorimetry]. Neutral: that hue fades out
smoothly until the L* where neutral arrives (the form of the fade is ours, no source). Tint: a person's rows, joined with
the paper by a curve that does not swing out [Fritsch-Carlson-1980]; below the darkest row in one proportion as above.
"""

import numpy as np

from spectro.colour.adaptation import relative_to_absolute
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.records.grey_aim import GreyAim, GreyAimKind

LEAST_WAY = 2.0  # L* below the paper that a change of tint takes at least; common practice, no source


def aimed_greys(aim: GreyAim, lightness: ArrayLike, paper_lab: ArrayLike) -> FloatArray:
    """Return absolute Lab (..., 3) of greys at absolute lightness (...), L* 0 to that of the paper.

    paper_lab: (3,), absolute. Raises InputError where the paper is too dark for the aim.

    >>> aimed_greys(GreyAim(kind=GreyAimKind.NEUTRAL, arrives=80), [80.0, 95.0], [95.0, 1.0, -4.0]).round(6).tolist()
    [[80.0, 0.0, 0.0], [95.0, 1.0, -4.0]]
    """
    wanted, paper = np.asarray(lightness, dtype=np.float64), np.asarray(paper_lab, dtype=np.float64)
    hue = _in_proportion(wanted, paper)
    if aim.kind == GreyAimKind.PAPER:
        return hue
    if aim.kind == GreyAimKind.NEUTRAL:
        if aim.arrives > paper[0] - LEAST_WAY:
            raise InputError(
                f"neutral reached at L* {aim.arrives:g} on a paper of L* {paper[0]:.1f}",
                f"at most {paper[0] - LEAST_WAY:.0f}, for the paper's own hue has to fade",
                "Choose a lower L*.",
            )
        way = np.clip((paper[0] - wanted) / (paper[0] - aim.arrives), 0, 1)
        hue[..., 1:] *= (1 - way * way * (3 - 2 * way))[..., None]
        return hue + 0.0
    hue[..., 1:] = _tint(aim, wanted, paper)
    return hue


def relative_greys(aim: GreyAim, lightness: ArrayLike, white_xyz: FloatArray) -> FloatArray:
    """Return media-relative Lab (..., 3) of aimed greys at media-relative lightness (...), 0 to 100.

    white_xyz: (3,), of the paper, Y = 100 for the perfect diffuser.
    """
    absolute = relative_to_absolute(_greys(np.asarray(lightness, dtype=np.float64)), white_xyz)
    aimed = aimed_greys(aim, absolute[..., 0], xyz_to_lab(white_xyz))
    return xyz_to_lab(lab_to_xyz(aimed) * lab_to_xyz(np.array([100.0, 0.0, 0.0])) / white_xyz)


def _greys(lightness: FloatArray) -> FloatArray:
    greys = np.zeros((*lightness.shape, 3))
    greys[..., 0] = lightness
    return greys


def _tint(aim: GreyAim, lightness: FloatArray, paper: FloatArray) -> FloatArray:
    from scipy.interpolate import PchipInterpolator

    rows = aim.tint[aim.tint[:, 0] <= paper[0] - LEAST_WAY]
    if not len(rows):
        raise InputError(
            f"a tint for L* {aim.tint[0, 0]:g} and above, on a paper of L* {paper[0]:.1f}",
            f"at least one row below L* {paper[0] - LEAST_WAY:.0f}",
            f"Add darker rows to {aim.origin}.",
        )
    knots = np.vstack([rows, paper])
    held = np.clip(lightness, knots[0, 0], knots[-1, 0])
    between = PchipInterpolator(knots[:, 0], knots[:, 1:])(held)
    return np.where((lightness < knots[0, 0])[..., None], _in_proportion(lightness, knots[0])[..., 1:], between)


def _in_proportion(lightness: FloatArray, lab: FloatArray) -> FloatArray:
    """Return Lab (..., 3) of lightness (...) whose tristimulus values are those of Lab (3,) in one proportion."""
    xyz = lab_to_xyz(lab)
    return xyz_to_lab(np.multiply.outer(lab_to_xyz(_greys(lightness))[..., 1] / xyz[1], xyz))
