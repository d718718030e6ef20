"""A smooth drift term: what has changed of a printer since a device model was fitted, from a few fresh patches.

The difference of fresh readings from the old model is a Gaussian process of its own [Rasmussen-Williams-2006]: groups of
moves that are likely beforehand, such as a little less of an ink, each group as free as its likelihood says, and a smooth
rest over the device values, as warped and scaled for the old model's colours: where colour changes fast, drift may too.
How freely each group moves, and the size and the reach of the rest, are those of greatest likelihood with a prior, so that
a few dozen patches are never overfitted: with nothing to see all are near zero.

Several sheets of one printing condition are the same case: one of them is the printer, the others differ by a term each.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from scipy import linalg
from scipy.optimize import minimize

from spectro.errors import InputError, ShapeError
from spectro.maths.row_blocks import one_thread
from spectro.maths.spread import farthest_points
from spectro.model.kernel import five_squared_distances, matern, matern_with_slopes
from spectro.records.arrays import FloatArray, frozen_floats

LEAST_PATCHES = 12
SEARCHED = 80  # patches the sizes are found on
USUAL_FREEDOM, USUAL_REST, USUAL_REACH = 0.3, 0.1, 1.4  # where the search starts; middle of the priors (no source)
_SIZE_SPREAD, _REACH_SPREAD = 1.5, 0.7  # prior standard deviations of the logarithms (no source)
_FARTHEST = 4.0  # standard deviations the search may go
_STEPS = 30

Place: TypeAlias = Callable[[FloatArray], FloatArray]
"""Device values (n, channels) to points (n, m) between which the old model correlates."""
Moves: TypeAlias = Callable[[FloatArray], tuple[FloatArray, ...]]
"""Device values (n, channels) to groups of what each likely change would do there, one standard deviation of it, all
independent: Lab (k, n, 3) a group."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftSizes:
    """What the likelihood decides of a drift."""

    freedoms: tuple[float, ...]  # a group of moves: times the stated spread of its moves
    rest: float  # Lab, standard deviation of the smooth rest
    reach: float  # its length scale against those of the old model


def usual_sizes(groups: int) -> DriftSizes:
    """Return what is likely before anything is read."""
    return DriftSizes(freedoms=(USUAL_FREEDOM,) * groups, rest=USUAL_REST, reach=USUAL_REACH)


def drift_covariance(placed: FloatArray, groups: tuple[FloatArray, ...], spread: FloatArray, sizes: DriftSizes) -> FloatArray:
    """Return the covariance (3 n, 3 n) of differences, patch after patch.

    placed: (n, m), reach divided out; groups: (k, n, 3) each; spread: (n,), independent of the drift.
    """
    rest = sizes.rest**2 * matern(placed, placed)
    rest[np.diag_indices(len(placed))] += spread**2
    covariance = np.kron(rest, np.eye(3))
    for freedom, group in zip(sizes.freedoms, groups, strict=True):
        flat = freedom * group.reshape(len(group), -1)
        covariance += flat.T @ flat
    return np.asarray(covariance)


def find_drift_sizes(
    placed: FloatArray, groups: tuple[FloatArray, ...], difference: FloatArray, spread: FloatArray
) -> DriftSizes:
    """Return the sizes of greatest posterior density for differences (n, 3); placed: (n, m), the reach not divided out."""
    count = len(groups)
    start = np.log([USUAL_FREEDOM] * count + [USUAL_REST, USUAL_REACH])
    deviation = np.array([_SIZE_SPREAD] * (count + 1) + [_REACH_SPREAD])
    flats = [group.reshape(len(group), -1) for group in groups]
    squares = [flat.T @ flat for flat in flats]
    wanted = difference.ravel()
    noise = np.repeat(spread**2, 3)
    apart = five_squared_distances(placed, placed)

    def value_and_slopes(logarithms: FloatArray) -> tuple[float, FloatArray]:
        powers = np.exp(2 * logarithms[: count + 1])
        squared = apart * np.exp(-2 * logarithms[count + 1])
        correlation = squared.copy()
        near = matern_with_slopes(correlation)
        rest = powers[count] * correlation
        covariance = np.kron(rest, np.eye(3)) + np.diag(noise)
        for power, square in zip(powers[:count], squares, strict=True):
            covariance += power * square
        factor = linalg.cholesky(covariance, lower=True)
        weights = linalg.cho_solve((factor, True), wanted)
        pull = linalg.cho_solve((factor, True), np.eye(len(wanted))) - np.outer(weights, weights)
        slopes = [float((pull * square).sum()) * power for power, square in zip(powers[:count], squares, strict=True)]
        by_rest = np.einsum("iaja->ij", pull.reshape(len(placed), 3, len(placed), 3))
        slopes.append(float((by_rest * rest).sum()))
        slopes.append(0.5 * float((by_rest * (powers[count] / 3 * squared * near)).sum()))
        off = (logarithms - start) / deviation
        value = 0.5 * float(wanted @ weights) + float(np.log(np.diag(factor)).sum()) + 0.5 * float(off @ off)
        return value, np.array(slopes) + off / deviation

    bounds = [(middle - _FARTHEST * width, middle + _FARTHEST * width) for middle, width in zip(start, deviation, strict=True)]
    found = minimize(value_and_slopes, start, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": _STEPS}).x
    sizes = np.exp(found)
    return DriftSizes(
        freedoms=tuple(float(size) for size in sizes[:count]), rest=float(sizes[count]), reach=float(sizes[count + 1])
    )


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
    factor: FloatArray  # (3 n, 3 n) lower Cholesky factor of the covariance of the fresh differences
    groups: tuple[FloatArray, ...]  # (k, n, 3) a group: the moves at the fresh patches

    def covariance(self, device: FloatArray) -> FloatArray:
        """Return the covariance (n, 3, 3) of what is unknown of the change of Lab at device values (n, channels), 0 to 1."""
        device = np.asarray(device, dtype=np.float64)
        near = matern(self.place(device) / self.sizes.reach, self.placed)
        across = np.kron(self.sizes.rest**2 * near, np.eye(3))
        own = np.tile(self.sizes.rest**2 * np.eye(3), (len(device), 1, 1))
        for freedom, there, here in zip(self.sizes.freedoms, self.moves(device), self.groups, strict=True):
            across += freedom**2 * there.reshape(len(there), -1).T @ here.reshape(len(here), -1)
            own += freedom**2 * np.einsum("kni,knj->nij", there, there)
        with one_thread():
            half = linalg.solve_triangular(self.factor, across.T, lower=True).reshape(-1, len(device), 3)
        return np.asarray(own - np.einsum("mni,mnj->nij", half, half))

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
        factor=frozen_floats(np.tril(factor)),
        groups=tuple(frozen_floats(group) for group in groups),
    )
