"""Where on their pages readings stand: as the layout says, else from the order in which they were read.

A printer that drifts over a page leaves neighbours alike. Where files say nothing of places, patches in the order of the file
are rows of a page one after another: the row's length is the one at which residuals resemble those a row and two rows before
most. Ours, no source; whether a drift over such a page is believed in is told by the likelihood.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray, IntArray, keep_floats, keep_integers

_SHORTEST, _LONGEST = 10, 200  # patches in a row
_LEAST_ROWS = 6
_LARGEST = 3.0  # residuals count up to so many standard deviations
_SORTED = 0.5  # neighbours in the file nearer than so much of what others are: sorted by colour, so order tells no places
_MANY = 500  # patches below which no row is told from their order


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PagePlaces:
    """Where readings stand on the pages of their sheets."""

    page: IntArray  # (n,)
    down: FloatArray  # (n,) 0 at the top to 1
    across: FloatArray  # (n,) 0 at the left to 1

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_integers(self, "page")
        keep_floats(self, "down", "across")


def stated_places(positions: IntArray) -> PagePlaces:
    """Return places as a layout states them: page, row, column (n, 3), from 1."""
    page, row, column = np.asarray(positions).T
    down, across = (np.asarray(line - 1) / max(int(line.max()) - 1, 1) for line in (row, column))
    return PagePlaces(page=page, down=down, across=across)


def places_in_order(order: IntArray, sheets: IntArray, device: FloatArray, residual: FloatArray) -> PagePlaces | None:
    """Return places told by the order of readings, each sheet as one page; None where a sheet's order tells none.

    order: (n,) the number of each reading on its sheet, from 0, gaps allowed; sheets: (n,) from 1; device: (n, channels);
    residual: (n, 3) what a model of the recipes leaves of each.
    """
    down, across = np.zeros(len(order)), np.zeros(len(order))
    for sheet in np.unique(sheets).tolist():
        rows = np.flatnonzero(sheets == sheet)
        rows = rows[np.argsort(order[rows], kind="stable")]
        length = _row_length(order[rows], residual[rows]) if _mixed(device[rows]) else None
        if length is None:
            return None
        at, count = order[rows], int(order[rows].max()) + 1
        down[rows], across[rows] = at // length * length / count, at % length / length
    return PagePlaces(page=np.ones(len(order), dtype=np.int64), down=down, across=across)


def _mixed(device: FloatArray) -> bool:
    """Whether neighbours in the order are as different as any two patches, nearly: else the order is one of colours."""
    if len(device) < _MANY:
        return False
    other = np.random.default_rng(1).permutation(len(device))
    near = np.linalg.norm(np.diff(device, axis=0), axis=1).mean()
    return bool(near >= _SORTED * np.linalg.norm(device - device[other], axis=1).mean())


def _row_length(order: IntArray, residual: FloatArray) -> int | None:
    """Return how many patches a row has; residual: (n, 3) in order (n,), where gaps count as nothing seen."""
    count = int(order.max()) + 1
    longest = min(count // _LEAST_ROWS, _LONGEST)
    if longest <= _SHORTEST or count > 4 * len(order):
        return None
    seen = np.zeros((count, residual.shape[1]))
    seen[order] = np.clip((residual - residual.mean(axis=0)) / residual.std(axis=0), -_LARGEST, _LARGEST)
    known = np.zeros(count)
    known[order] = 1.0

    def alike(apart: IntArray) -> FloatArray:
        pairs = [max(float(known[:-step] @ known[step:]), 1.0) for step in apart.tolist()]
        return np.array([(seen[:-step] * seen[step:]).sum() for step in apart.tolist()]) / pairs

    lengths = np.arange(_SHORTEST, longest)
    score = sum(alike(rows * lengths) + 0.5 * alike(rows * lengths - 1) + 0.5 * alike(rows * lengths + 1) for rows in (1, 2))
    return int(lengths[np.argmax(score)])
