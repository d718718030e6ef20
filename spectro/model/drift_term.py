"""A smooth drift term: what has changed of a printer since a device model was fitted, from a few fresh patches.

The difference of fresh readings from the old model is a Gaussian process of its own [Rasmussen-Williams-2006]: moves that
are likely beforehand, such as a little less of an ink, with sizes of stated spread, and a smooth rest over the device
values, as warped and scaled for the old model's colours: where colour changes fast, drift may too. How far the rest reaches,
how large it is and how freely the moves move are those of greatest marginal likelihood, from a grid, so that a few dozen
patches are never overfitted: with nothing to see all are near zero.

Several sheets of one printing condition are the same case: one of them is the printer, the others differ by a term each.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from scipy import linalg

from spectro.errors import InputError, ShapeError
from spectro.maths.spread import farthest_points
from spectro.model.kernel import matern, one_thread
from spectro.records.arrays import FloatArray, frozen_floats

LEAST_PATCHES = 12
SEARCHED = 80  # patches the sizes are found on
REACHES = (0.7, 1.4, 2.8, 5.6)  # length scales against those of the old model (no source)
SIZES = (0.03, 0.1, 0.2, 0.4, 0.8, 1.6)  # Lab, standard deviation of the smooth rest (no source)
FREEDOMS = (0.1, 0.3, 1.0)  # times the stated spread of the moves (no source)

Place: TypeAlias = Callable[[FloatArray], FloatArray]
"""Device values (n, channels) to points (n, m) between which the old model correlates."""
Moves: TypeAlias = Callable[[FloatArray], FloatArray]
"""Device values (n, channels) to what each likely change would do there, one standard deviation of it: Lab (k, n, 3)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftTerm:
    """A fitted drift term. Immutable; `predict` is a pure function of it."""

    place: Place
    moves: Moves
    placed: FloatArray  # (n, m) of the fresh patches, reach divided out
    reach: float
    size: float  # Lab, of the smooth rest
    freedom: float  # times the stated spread of the moves
    moved: FloatArray  # (k,) how far each move went, in its stated standard deviations
    coefficients: FloatArray  # (n, 3) of the smooth rest
    left_out: FloatArray  # (n, 3) prediction of each fresh difference from the others

    def predict(self, device: FloatArray) -> FloatArray:
        """Return the change of Lab (n, 3) since the old model, at device values (n, channels), 0 to 1."""
        device = np.asarray(device, dtype=np.float64)
        rest = self.size**2 * matern(self.place(device) / self.reach, self.placed) @ self.coefficients
        return np.asarray(np.einsum("k,knj->nj", self.moved, self.moves(device)) + rest)


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
    placed, likely = np.asarray(place(device)), moves(device)
    with one_thread():
        rows = farthest_points(device, SEARCHED)
        reach, size, freedom = _search(placed[rows], likely[:, rows], difference[rows], spread[rows])
        factor = _factor(_covariance(placed, likely, spread, reach, size, freedom))
        weights = linalg.cho_solve((factor, True), difference.ravel())
        precision = linalg.cho_solve((factor, True), np.eye(len(weights)))
    flat = likely.reshape(len(likely), -1)
    blocks = [slice(3 * row, 3 * row + 3) for row in range(len(device))]
    errors = np.stack([np.linalg.solve(precision[block, block], weights[block]) for block in blocks])
    return DriftTerm(
        place=place,
        moves=moves,
        placed=frozen_floats(placed / reach),
        reach=reach,
        size=size,
        freedom=freedom,
        moved=frozen_floats(freedom**2 * flat @ weights),
        coefficients=frozen_floats(weights.reshape(-1, 3)),
        left_out=frozen_floats(difference - errors),
    )


def _search(placed: FloatArray, likely: FloatArray, difference: FloatArray, spread: FloatArray) -> tuple[float, float, float]:
    """Return reach, size and freedom of greatest marginal likelihood."""
    best = (-np.inf, REACHES[0], SIZES[0], FREEDOMS[0])
    for reach in REACHES:
        for size in SIZES:
            for freedom in FREEDOMS:
                factor = _factor(_covariance(placed, likely, spread, reach, size, freedom))
                half = linalg.solve_triangular(factor, difference.ravel(), lower=True)
                likelihood = -0.5 * float(half @ half) - float(np.log(np.diag(factor)).sum())
                if likelihood > best[0]:
                    best = (likelihood, reach, size, freedom)
    return best[1:]


def _covariance(
    placed: FloatArray, likely: FloatArray, spread: FloatArray, reach: float, size: float, freedom: float
) -> FloatArray:
    """Return the covariance (3 n, 3 n) of the differences, patch after patch."""
    rest = size**2 * matern(placed / reach, placed / reach)
    rest[np.diag_indices(len(placed))] += spread**2
    flat = likely.reshape(len(likely), -1)
    return np.asarray(np.kron(rest, np.eye(3)) + freedom**2 * flat.T @ flat)


def _factor(covariance: FloatArray) -> FloatArray:
    factor: FloatArray = linalg.cholesky(covariance, lower=True, overwrite_a=True)
    return factor
