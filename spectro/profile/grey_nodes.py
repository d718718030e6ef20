"""Where the L* nodes of a PCS-to-device table lie exactly: where greys between them keep the least tint.

A driver that brings in black, or changes from one ink to another, bends the path of greys through device values; a table
is straight between nodes, so that a bend inside a cell is a tint. Nodes move by less than half a cell.
"""

import numpy as np

from spectro.profile.inversion import Inverse, invert
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import FloatArray, frozen_floats

_PLACES = 9  # tried of each node
_FARTHEST = 0.35  # of the narrower cell beside it
_INSIDE = np.linspace(0, 1, 17)[1:-1]  # greys looked at between two nodes
_STAY = 0.1  # a* or b*, counted for a node at its farthest


def with_grey_nodes(inverse: Inverse, spacing: LabSpacing) -> LabSpacing:
    """Return the spacing with its L* nodes moved so that the sum of squares of the largest tints of all cells is least."""
    nodes = spacing.at(np.arange(spacing.grid), 0)
    places = _candidates(nodes, spacing.pinned[0])
    costs = _tints(inverse, places) ** 2
    away = (_STAY * np.linspace(-1, 1, _PLACES)) ** 2
    best = np.zeros(_PLACES)  # of all nodes up to one, by the place of that one
    came_from = []
    for cell in costs:
        sums = best[:, None] + cell + away
        came_from.append(sums.argmin(axis=0))
        best = sums.min(axis=0)
    chosen = [int(best.argmin())]
    for back in reversed(came_from):
        chosen.append(int(back[chosen[-1]]))
    moved = places[np.arange(len(nodes)), chosen[::-1]]
    lightness = frozen_floats([moved, np.arange(spacing.grid)])
    return LabSpacing(grid=spacing.grid, knots=(lightness, *spacing.knots[1:]), pinned=spacing.pinned)


def _candidates(nodes: FloatArray, pinned: tuple[int, ...]) -> FloatArray:
    """Return L* (nodes, places) that each node may take; pinned ones have one place only."""
    room = np.minimum(np.diff(nodes, prepend=-np.inf), np.diff(nodes, append=np.inf))
    room[list(pinned)] = 0.0
    return nodes[:, None] + _FARTHEST * room[:, None] * np.linspace(-1, 1, _PLACES)


def _tints(inverse: Inverse, places: FloatArray) -> FloatArray:
    """Return the largest a* or b* (cells, places, places) of greys between two nodes by the places of both."""
    device = invert(inverse, _greys(places.ravel()))[0].reshape(*places.shape, 3)
    low, high = device[:-1, :, None, None], device[1:, None, :, None]
    between = low + (high - low) * _INSIDE[:, None]  # (cells, places, places, greys, 3)
    lab = inverse.table.evaluate(between.reshape(-1, 3)).reshape(between.shape)
    largest: FloatArray = np.abs(lab[..., 1:]).max(axis=(-1, -2))
    return largest


def _greys(lightness: FloatArray) -> FloatArray:
    return np.column_stack([lightness, np.zeros((len(lightness), 2))])
