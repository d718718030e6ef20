"""Greys of a tint of one's own in the perceptual and saturation tables: what is neutral in a picture is printed so.

Colours near the neutral axis move along with the greys of their lightness, less and less with growing chroma; strong
colours stay. The shift is smooth and small against the distance over which it fades, so that it has an inverse.
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.grey_aim import relative_greys
from spectro.colour.hue_straight import lab_to_edge_space
from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.records.grey_aim import GreyAim, GreyAimKind

FADE = 12.0  # chroma, of the edge space, over which the shift fades; ours, no source
LARGEST = 10.0  # shift that still has an inverse with that fade: the steepest slope is 0.86 of their ratio
_KNOTS = 401
_ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyShift:
    """The move of printed greys (k, 3) by their lightness (k,) in the edge space."""

    lightness: FloatArray
    move: FloatArray

    def applied(self, points: FloatArray) -> FloatArray:
        """Return the moved points (n, 3)."""
        return points + self._move(points)

    def undone(self, points: FloatArray) -> FloatArray:
        """Return the points (n, 3) that `applied` takes to points, by iteration."""
        found = points
        for _ in range(_ROUNDS):
            found = points - self._move(found)
        return found

    def _move(self, points: FloatArray) -> FloatArray:
        faded = np.exp(-(points[:, 1] ** 2 + points[:, 2] ** 2) / FADE**2)
        moves = [np.interp(points[:, 0], self.lightness, self.move[:, axis]) for axis in range(3)]
        moved: FloatArray = np.column_stack(moves) * faded[:, None]
        return moved


def grey_shift(aim: GreyAim, white_xyz: FloatArray) -> GreyShift | None:
    """Return the shift for an aim on a paper of XYZ white_xyz, Y = 100; None for the paper's hue, which is no shift.

    Raises InputError for a tint that is too strong, and as `aimed_greys` does.
    """
    if aim.kind == GreyAimKind.PAPER:
        return None
    neutral = np.zeros((_KNOTS, 3))
    neutral[:, 0] = np.linspace(0, 100, _KNOTS)
    axis = lab_to_edge_space(neutral)
    move = lab_to_edge_space(relative_greys(aim, neutral[:, 0], white_xyz)) - axis
    largest = float(np.sqrt((move**2).sum(axis=1)).max())
    if largest > LARGEST:
        raise InputError(
            f"greys {largest:.0f} units away from the paper's hue (edge space)",
            f"at most {LARGEST:g}, for colours must not fold onto each other",
            "Choose a weaker tint; strong ones belong into the picture.",
        )
    return GreyShift(lightness=axis[:, 0], move=move)
