"""A neutral axis that ends in the darkest colour: near black, where the darkest colour has a tint, the axis is bent into it.

A gamut holds no neutral colour as dark as its darkest one. Moved so that its axis is straight, it can be treated as if it did;
moved back, greys bend into the darkest colour.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray

_FADE = 4.0  # chroma over which the move fades; ours, benchmarks/accuracy.md
_LEAST_FADE = 2.0  # times the tint: with less the move would fold colours onto each other
_ROUNDS = 24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StraightAxis:
    """The move of points (n, 3) by a tint (2,): whole at the lightness `darkest`, none from `top` up."""

    darkest: float
    top: float
    tint: FloatArray

    def bent(self, points: FloatArray) -> FloatArray:
        """Return points that see a straight axis, as the printer has them."""
        return self._moved(points, points, 1.0)

    def straightened(self, points: FloatArray) -> FloatArray:
        """Return the printer's points as seen along a straight axis: the inverse of `bent`, by iteration."""
        rows = np.flatnonzero((points[:, 0] < self.top) & (np.hypot(points[:, 1], points[:, 2]) < 4 * self._fade + self._size))
        some = points[rows]
        moved = some
        for _ in range(_ROUNDS):
            moved = self._moved(some, moved, -1.0)
        found = points.copy()
        found[rows] = moved
        return found

    @property
    def _size(self) -> float:
        return float(np.hypot(*self.tint))

    @property
    def _fade(self) -> float:
        return max(_FADE, _LEAST_FADE * self._size)

    def _moved(self, points: FloatArray, at: FloatArray, sign: float) -> FloatArray:
        """Return points moved by the tint as much as it is at other points (n, 3)."""
        share = smooth_step((self.top - at[:, 0]) / (self.top - self.darkest))
        share *= np.exp(-(at[:, 1] ** 2 + at[:, 2] ** 2) / self._fade**2)
        moved = points.copy()
        moved[:, 1:] += sign * share[:, None] * self.tint
        return moved


def smooth_step(share: FloatArray) -> FloatArray:
    """Return 0 below 0, 1 above 1, and between them a smooth rise with flat ends.

    >>> smooth_step(np.array([-1.0, 0.25, 0.5, 2.0])).tolist()
    [0.0, 0.15625, 0.5, 1.0]
    """
    held = np.clip(share, 0, 1)
    risen: FloatArray = held * held * (3 - 2 * held)
    return risen
