"""How a print looks, in the numbers of a display, and where on the picture it cannot follow.

Relative colours have the paper as white, as a print looks by itself on a wall; absolute ones the perfect diffuser, as it
looks next to white. The display's white stands for that white. Light that a surface mirrors is added as a share of what a
perfect diffuser sends back, and the whole is shown relative to the white with it. Reference: [ICC.1-2022] colorimetric
intents.
"""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import D50_PCS, lab_to_xyz, xyz_to_lab
from spectro.colour.viewing import with_surface_reflection
from spectro.profile.picture_conversion import PictureProfile
from spectro.profile.picture_print import display_values, values_lab
from spectro.records.arrays import AnyArray, BoolArray, FloatArray

LINES = {2.0: (255, 214, 0), 5.0: (255, 120, 0), 10.0: (225, 0, 60)}
"""ΔE00 at which a line is drawn around what cannot be printed, and its colour in RGB, 0 to 255; ours."""
_ROUGH, _UNSHOWN = 0.25, 2.0  # ΔE00 from which rounding is looked at again, and at which it is no matter of rounding; ours
_STRIPE = 4  # pixels of the stripes over what the display cannot show


def with_flare(lab: FloatArray, flare: float) -> FloatArray:
    """Return Lab (n, 3) under light mirrored by the surface, relative to white with it. flare: share, 0 to below 1.

    >>> with_flare(np.array([[0.0, 0, 0], [100, 0, 0]]), 0.01).round(2).tolist()
    [[8.91, 0.0, 0.0], [100.0, 0.0, 0.0]]
    """
    if flare == 0:
        return lab
    return xyz_to_lab(with_surface_reflection(lab_to_xyz(lab), D50_PCS, flare) / (1 + flare))


def on_display(lab: FloatArray, display: PictureProfile) -> tuple[AnyArray, FloatArray]:
    """Return a display's numbers (n, 3), uint8, for Lab (n, 3), and by which ΔE00 (n,) they miss them.

    Rounding each channel by itself tints greys by up to ΔE00 0.7; where it is off by more than a little, the best of the
    eight ways to round is taken.
    """
    fine = display_values(lab, display) * 255
    numbers = np.rint(fine).astype(np.uint8)
    missed = delta_e_2000(lab, values_lab(numbers, display))
    rough = np.flatnonzero((missed > _ROUGH) & (missed < _UNSHOWN))
    low = np.floor(fine[rough])
    for corner in np.ndindex(2, 2, 2) if len(rough) else ():
        other = np.clip(low + corner, 0, 255).astype(np.uint8)
        error = delta_e_2000(lab[rough], values_lab(other, display))
        nearer = error < missed[rough]
        numbers[rough[nearer]] = other[nearer]
        missed[rough[nearer]] = error[nearer]
    return numbers, missed


def with_lines(picture: AnyArray, outside_by: FloatArray) -> AnyArray:
    """Return a picture (rows, columns, 3), uint8, with lines inside the edges of where outside_by (rows, columns) passes LINES.

    A pixel is drawn over where it is above the limit and one beside it, above or below it is not.
    """
    drawn = picture.copy()
    for limit, colour in LINES.items():
        drawn[edge_of(outside_by > limit)] = colour
    return drawn


def edge_of(region: BoolArray) -> BoolArray:
    """Return the pixels of a region (rows, columns) that have one beside them that is none; the picture's rim is no edge.

    >>> edge_of(np.array([[0, 1, 1, 1], [0, 1, 1, 1], [0, 1, 1, 1]], bool)).astype(int).tolist()
    [[0, 1, 0, 0], [0, 1, 0, 0], [0, 1, 0, 0]]
    """
    wide = np.pad(region, 1, mode="edge")
    inner = wide[:-2, 1:-1] & wide[2:, 1:-1] & wide[1:-1, :-2] & wide[1:-1, 2:]
    return region & ~inner


def with_stripes(picture: AnyArray, marked: BoolArray) -> AnyArray:
    """Return a picture (rows, columns, 3), uint8, with grey stripes over what is marked (rows, columns)."""
    rows, columns = np.indices(marked.shape)
    drawn = picture.copy()
    drawn[marked & ((rows + columns) // _STRIPE % _STRIPE == 0)] = (128, 128, 128)
    return drawn
