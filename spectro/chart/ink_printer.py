"""What inks will roughly look like on paper, before anything is printed: the generic printer for any set of inks.

Neugebauer's mixing with Demichel's weights and a Yule-Nielsen factor of 2 [Yule-Nielsen-1951], where each overprint's
light is the product of its inks' (so the sum over all overprints is a product over inks). Three bands only, those of
linear sRGB, and a little light from the surface. Good enough to tell colours apart; never used to judge a print.
"""

import numpy as np

from spectro.chart.tables import named_inks
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.srgb import linear_srgb_to_pcs
from spectro.errors import ShapeError
from spectro.records.arrays import ArrayLike, FloatArray

_PAPER_LAB = (96.0, 0.0, 0.0)  # invented, as the generic printer's
_YULE_NIELSEN = 2.0
_SURFACE = 0.006  # invented: light that no ink takes away
_LEAST = 0.003  # of a band of an ink; colours outside these bands would let none through


def predict_ink_lab(
    device: ArrayLike, channels: tuple[str, ...], ink_colours: dict[str, list[float]] | None = None
) -> FloatArray:
    """Return Lab (..., 3), D50, relative to a perfect white, of ink amounts (..., inks), 0 to 1.

    channels: names of the inks. ink_colours: Lab of the full tone of inks, instead of the known ones.
    Raises ShapeError if there are not as many amounts as inks.

    >>> abs(predict_ink_lab([0, 0], ("cyan", "black")).round(6)).tolist()
    [96.0, 0.0, 0.0]
    """
    amounts = np.asarray(device, dtype=np.float64)
    if amounts.shape[-1:] != (len(channels),):
        raise ShapeError(f"device has shape {amounts.shape}; expected (..., {len(channels)})")
    colours = named_inks() | {name: np.array(lab, dtype=np.float64) for name, lab in (ink_colours or {}).items()}
    to_bands = np.linalg.inv(linear_srgb_to_pcs()).T / 100
    paper = lab_to_xyz(np.array(_PAPER_LAB)) @ to_bands
    light = np.broadcast_to(np.asarray((paper - _SURFACE) ** (1 / _YULE_NIELSEN)), (*amounts.shape[:-1], 3)).copy()
    for index, name in enumerate(channels):
        full = np.maximum(lab_to_xyz(colours[name]) @ to_bands - _SURFACE, _LEAST) / (paper - _SURFACE)
        through = np.minimum(full, 1.0) ** (1 / _YULE_NIELSEN)
        light *= 1 - amounts[..., index : index + 1] * (1 - through)
    return xyz_to_lab((light**_YULE_NIELSEN + _SURFACE) @ np.linalg.inv(to_bands), D50_PCS)
