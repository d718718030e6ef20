"""A plain analytic printer that stands for any: what device values will roughly give, before anything is printed.

RGB: Neugebauer primaries (paper, three inks, their overprints) mixed by Demichel's weights with a Yule-Nielsen factor of 2.
Invented: the eight colours are round figures in the range of a photo inkjet on matte paper, no real device.
Inks: the same mixing [Yule-Nielsen-1951] for any set of them, where each overprint's light is the product of its inks' (so
the sum over all overprints is a product over inks). Three bands only, those of linear sRGB, and a little light from the
surface. Good enough to tell colours apart and to spread patches; never used to judge a print.
"""

import numpy as np

from spectro.chart.channels import GREY, RGB, channel_names
from spectro.chart.tables import named_inks
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.srgb import linear_srgb_to_pcs
from spectro.errors import ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats
from spectro.records.chart import ChartRecipe

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

    >>> (predict_lab([[1, 1, 1], [0, 0, 0]]).round(6) + 0.0).tolist()
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


_PAPER_LAB = (96.0, 0.0, 0.0)  # invented, as the generic printer's
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


def predicted_lab(recipe: ChartRecipe, device: FloatArray) -> FloatArray:
    """Return Lab (n, 3), D50, that device values (n, channels), 0 to 1, will roughly give on a generic printer."""
    channels = channel_names(recipe)
    if channels == RGB:
        return predict_lab(device)
    if channels == GREY:
        return predict_lab(np.repeat(device, 3, axis=-1))
    return predict_ink_lab(device, channels, recipe.ink_colours)
