"""A plain analytic printer that stands for any: what colour device values will roughly give, before anything is printed.

Neugebauer primaries (paper, three inks, their overprints) mixed by Demichel's weights with a Yule-Nielsen factor of 2.
Invented: the eight colours are round figures in the range of a photo inkjet on matte paper, no real device. Good enough
to tell colours apart and to spread patches; never used to judge a print.
"""

import numpy as np

from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats

_PRIMARIES_LAB = frozen_floats(  # invented, no source; first ink cyan, then magenta, then yellow; counting in binary
    [
        [96, 0, 0],  # paper
        [90, -5, 85],  # yellow
        [50, 72, -5],  # magenta
        [49, 66, 46],  # magenta and yellow
        [56, -36, -48],  # cyan
        [50, -62, 26],  # cyan and yellow
        [28, 20, -46],  # cyan and magenta
        [12, 0, 0],  # all three
    ]
)
_YULE_NIELSEN = 2.0


def predict_lab(device: ArrayLike) -> FloatArray:
    """Return Lab (..., 3), D50, relative to a perfect white, of RGB device values (..., 3), 0 to 1.

    >>> predict_lab([[1, 1, 1], [0, 0, 0]]).round(6).tolist()
    [[96.0, 0.0, 0.0], [12.0, 0.0, 0.0]]
    """
    ink = 1.0 - np.asarray(device, dtype=np.float64)
    roots = lab_to_xyz(_PRIMARIES_LAB) ** (1 / _YULE_NIELSEN)
    mixed = np.zeros(ink.shape)
    for index, root in enumerate(roots):
        on = [(index >> (2 - channel)) & 1 for channel in range(3)]
        share = np.prod([ink[..., c] if on[c] else 1 - ink[..., c] for c in range(3)], axis=0)
        mixed = mixed + share[..., None] * root
    return xyz_to_lab(mixed**_YULE_NIELSEN, D50_PCS)
