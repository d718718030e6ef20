"""How freely likely changes move, and how large and how far-reaching the rest of a drift is: those of greatest likelihood.

Reference: [Rasmussen-Williams-2006], marginal likelihood, its partial derivatives, and priors on hyperparameters.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg
from scipy.optimize import minimize

from spectro.model.kernel import five_squared_distances, matern
from spectro.records.arrays import FloatArray

USUAL_FREEDOM, USUAL_REST, USUAL_REACH = 0.3, 0.1, 1.4  # where the search starts; middle of the priors (no source)
_SIZE_SPREAD, _REACH_SPREAD = 1.5, 0.7  # prior standard deviations of the logarithms (no source)
_FARTHEST = 4.0  # standard deviations the search may go
_STEPS = 30


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
        scaled = np.sqrt(squared)
        decay = np.exp(-scaled)
        rest = powers[count] * (1 + scaled + squared / 3) * decay
        covariance = np.kron(rest, np.eye(3)) + np.diag(noise)
        for power, square in zip(powers[:count], squares, strict=True):
            covariance += power * square
        factor = linalg.cholesky(covariance, lower=True)
        weights = linalg.cho_solve((factor, True), wanted)
        pull = linalg.cho_solve((factor, True), np.eye(len(wanted))) - np.outer(weights, weights)
        slopes = [float((pull * square).sum()) * power for power, square in zip(powers[:count], squares, strict=True)]
        by_rest = np.einsum("iaja->ij", pull.reshape(len(placed), 3, len(placed), 3))
        slopes.append(float((by_rest * rest).sum()))
        slopes.append(0.5 * float((by_rest * (powers[count] / 3 * squared * (1 + scaled) * decay)).sum()))
        off = (logarithms - start) / deviation
        value = 0.5 * float(wanted @ weights) + float(np.log(np.diag(factor)).sum()) + 0.5 * float(off @ off)
        return value, np.array(slopes) + off / deviation

    bounds = [(middle - _FARTHEST * width, middle + _FARTHEST * width) for middle, width in zip(start, deviation, strict=True)]
    found = minimize(value_and_slopes, start, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": _STEPS}).x
    sizes = np.exp(found)
    return DriftSizes(
        freedoms=tuple(float(size) for size in sizes[:count]), rest=float(sizes[count]), reach=float(sizes[count + 1])
    )
