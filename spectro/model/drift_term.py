"""A smooth drift term: what has changed of a printer since a device model was fitted, from a few fresh patches.

The difference of fresh readings from the old model is a Gaussian process of its own [Rasmussen-Williams-2006]: groups of
moves that are likely beforehand, such as a little less of an ink, each group as free as its likelihood says, and a smooth
rest over the device values, as warped and scaled for the old model's colours: where colour changes fast, drift may too.
How freely each group moves, and the size and the reach of the rest (`drift_sizes.py`), are found with a prior, so that a
few dozen patches are never overfitted: with nothing to see all are near zero.

Several sheets of one printing condition are the same case: one of them is the printer, the others differ by a term each.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from scipy import linalg

from spectro.errors import InputError, ShapeError
from spectro.maths.spread import farthest_points
from spectro.model.drift_sizes import DriftSizes, drift_covariance, find_drift_sizes
from spectro.model.kernel import matern, one_thread
from spectro.records.arrays import FloatArray, frozen_floats

LEAST_PATCHES = 12
SEARCHED = 80  # patches the sizes are found on

Place: TypeAlias = Callable[[FloatArray], FloatArray]
"""Device values (n, channels) to points (n, m) between which the old model correlates."""
Moves: TypeAlias = Callable[[FloatArray], tuple[FloatArray, ...]]
"""Device values (n, channels) to groups of what each likely change would do there, one standard deviation of it, all
independent: Lab (k, n, 3) a group."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftTerm:
    """A fitted drift term. Immutable; `predict` is a pure function of it."""

    place: Place
    moves: Moves
    sizes: DriftSizes
    placed: FloatArray  # (n, m) of the fresh patches, reach divided out
    moved: tuple[FloatArray, ...]  # (k,) a group: how far each move went, in its stated standard deviations
    coefficients: FloatArray  # (n, 3) of the smooth rest
    left_out: FloatArray  # (n, 3) prediction of each fresh difference from the others

    def predict(self, device: FloatArray) -> FloatArray:
        """Return the change of Lab (n, 3) since the old model, at device values (n, channels), 0 to 1."""
        device = np.asarray(device, dtype=np.float64)
        change = self.sizes.rest**2 * matern(self.place(device) / self.sizes.reach, self.placed) @ self.coefficients
        for went, group in zip(self.moved, self.moves(device), strict=True):
            change = change + np.tensordot(went, group, axes=1)
        return np.asarray(change)


def fit_drift_term(device: FloatArray, difference: FloatArray, spread: FloatArray, *, place: Place, moves: Moves) -> DriftTerm:
    """Fit a drift term to differences (n, 3) of fresh Lab from an old model's, at device (n, channels), all different.

    spread: (n,) standard deviation of each difference where nothing changed: reading noise and the old model's own
    uncertainty, each of L*, a*, b*. Raises InputError for fewer than 12 patches, ShapeError where shapes differ.
    """
    if difference.shape != (len(device), 3) or spread.shape != (len(device),):
        raise ShapeError(f"difference {difference.shape}, spread {spread.shape}; expected ({len(device)}, 3), ({len(device)},)")
    if len(device) < LEAST_PATCHES:
        raise InputError(
            f"{len(device)} different fresh patches", f"{LEAST_PATCHES} or more; 40 to 80 are good", "Read more of them."
        )
    rows = farthest_points(device, SEARCHED)
    with one_thread():
        sizes = find_drift_sizes(place(device[rows]), moves(device[rows]), difference[rows], spread[rows])
    return solve_drift_term(device, difference, spread, sizes, place=place, moves=moves)


def solve_drift_term(
    device: FloatArray, difference: FloatArray, spread: FloatArray, sizes: DriftSizes, *, place: Place, moves: Moves
) -> DriftTerm:
    """Fit a drift term with given sizes; arguments as for `fit_drift_term`."""
    placed = np.asarray(place(device)) / sizes.reach
    groups = moves(device)
    with one_thread():
        factor = linalg.cholesky(drift_covariance(placed, groups, spread, sizes), lower=True, overwrite_a=True)
        weights = linalg.cho_solve((factor, True), difference.ravel())
        precision = linalg.cho_solve((factor, True), np.eye(len(weights)))
    blocks = [slice(3 * row, 3 * row + 3) for row in range(len(device))]
    errors = np.stack([np.linalg.solve(precision[block, block], weights[block]) for block in blocks])
    return DriftTerm(
        place=place,
        moves=moves,
        sizes=sizes,
        placed=frozen_floats(placed),
        moved=tuple(
            frozen_floats(freedom**2 * group.reshape(len(group), -1) @ weights)
            for freedom, group in zip(sizes.freedoms, groups, strict=True)
        ),
        coefficients=frozen_floats(weights.reshape(-1, 3)),
        left_out=frozen_floats(difference - errors),
    )
