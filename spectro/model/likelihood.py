"""Marginal likelihood of the device model's hyperparameters, with analytic gradients.

L*, a* and b* share one correlation (length scales, warps, noise ratio); each has its own variance and linear mean, both
found in closed form. Reference: [Rasmussen-Williams-2006], marginal likelihood and its partial derivatives.
"""

import numpy as np
from scipy import linalg
from scipy.optimize import minimize

from spectro.model.kernel import Hyperparameters, five_squared_distances, matern_with_slopes, model_inputs, warp, warp_slopes
from spectro.records.arrays import FloatArray

_WARP_SPREAD = 0.8  # prior standard deviation of the logarithm of a warp exponent, around 0
_LENGTH_SPREAD = 1.5  # of the logarithm of a length scale, around that of 2


def mean_terms(device: FloatArray, degree: int) -> FloatArray:
    """Return (n, terms): the terms of the mean in device values (n, channels), of degree 1 (linear) or 2 (all products)."""
    terms = [np.ones(len(device)), *device.T]
    if degree == 2:
        channels = range(device.shape[1])
        terms += [device[:, first] * device[:, second] for first in channels for second in channels if first <= second]
    return np.column_stack(terms)


def negative_log_likelihood(
    logarithms: FloatArray, inputs: FloatArray, terms: FloatArray, lab: FloatArray, counts: FloatArray
) -> tuple[float, FloatArray]:
    """Return the negative log marginal likelihood with priors, and its gradient, both in the logarithms.

    logarithms: (3 m + 1,) lengths, first and second warp exponents, noise ratio. inputs: (n, m) of `model_inputs`.
    terms: (n, p) of `mean_terms`. lab: (n, 3). counts: (n,) readings averaged in each row.
    Constants that do not depend on the logarithms are left out.
    """
    n, m = inputs.shape
    lengths, first, second = np.exp(logarithms[: 3 * m]).reshape(3, m)
    noise = float(np.exp(logarithms[3 * m]))
    placed = warp(inputs, first, second) / lengths
    by_first, by_second = warp_slopes(inputs, first, second)
    covariance = five_squared_distances(placed, placed)
    near = matern_with_slopes(covariance)
    covariance.ravel()[:: n + 1] += noise / counts
    value, by_covariance = value_and_slope(covariance, terms, lab)
    near *= 5 / 3  # the slope by the squared distance is -1/2 of this
    pull = np.multiply(near, by_covariance, out=near)
    rows = pull.sum(axis=1)[:, None] * placed - pull @ placed  # (n, m), sums of pull times the distance along each input
    gradient = np.empty_like(logarithms)
    gradient[:m] = 2 * (placed * rows).sum(axis=0)
    gradient[m : 2 * m] = -2 * (rows * by_first).sum(axis=0) / lengths * first
    gradient[2 * m : 3 * m] = -2 * (rows * by_second).sum(axis=0) / lengths * second
    gradient[3 * m] = (np.diag(by_covariance) * noise / counts).sum()

    warps = logarithms[m : 3 * m] / _WARP_SPREAD
    spans = (logarithms[:m] - np.log(2.0)) / _LENGTH_SPREAD
    value += 0.5 * (warps**2).sum() + 0.5 * (spans**2).sum()
    gradient[m : 3 * m] += warps / _WARP_SPREAD
    gradient[:m] += spans / _LENGTH_SPREAD
    return value, gradient


def value_and_slope(covariance: FloatArray, terms: FloatArray, lab: FloatArray) -> tuple[float, FloatArray]:
    """Return the negative log likelihood of lab (n, outputs), and its slope by the covariance (n, n), which is overwritten."""
    n, outputs = lab.shape
    half_determinant, inverse = half_determinant_and_inverse(covariance)
    projected = inverse @ terms
    mean = np.linalg.solve(terms.T @ projected, projected.T @ lab)
    residual = lab - terms @ mean
    solved = inverse @ residual
    variance = (residual * solved).sum(axis=0) / n
    value = 0.5 * n * np.log(variance).sum() + outputs * half_determinant
    inverse *= 0.5 * outputs
    inverse -= (0.5 * solved / variance) @ solved.T
    return float(value), inverse


def negative_log_evidence(covariance: FloatArray, terms: FloatArray, lab: FloatArray) -> float:
    """Return the negative log marginal likelihood of lab (n, outputs), without priors and constants.

    covariance: (n, n) over the signal variance, noise included; it is overwritten. terms: (n, p) of the mean.
    """
    factor = linalg.cholesky(covariance.T, lower=True, overwrite_a=True, check_finite=False)
    half = linalg.solve_triangular(factor, np.column_stack([terms, lab]), lower=True, check_finite=False)
    half_terms, half_lab = half[:, : terms.shape[1]], half[:, terms.shape[1] :]
    residual = half_lab - half_terms @ np.linalg.solve(half_terms.T @ half_terms, half_terms.T @ half_lab)
    variance = (residual**2).mean(axis=0)
    return float(0.5 * len(lab) * np.log(variance).sum() + lab.shape[1] * np.log(np.diag(factor)).sum())


def half_determinant_and_inverse(covariance: FloatArray) -> tuple[float, FloatArray]:
    """Return half the logarithm of the determinant and the inverse of a covariance (n, n), which is overwritten."""
    factor = linalg.cholesky(covariance.T, lower=True, overwrite_a=True, check_finite=False)
    half_determinant = float(np.log(np.diag(factor)).sum())
    inverse, _ = linalg.lapack.dpotri(factor, lower=1, overwrite_c=1)
    upper = inverse.T
    return half_determinant, np.triu(upper) + np.triu(upper, 1).T


def find_hyperparameters(
    device: FloatArray,
    lab: FloatArray,
    counts: FloatArray,
    *,
    degree: int = 2,
    start: Hyperparameters | None = None,
    steps: int = 100,
    widest: float = 4.0,
) -> Hyperparameters:
    """Return the hyperparameters of greatest marginal likelihood for device (n, channels) and lab (n, 3).

    start: where the search begins, found on fewer patches for instance. steps: after which it stops at the latest.
    widest: largest exponent of a warp, and one over the smallest.
    """
    inputs = model_inputs(device)
    m = inputs.shape[1]
    if start is None:
        first_guess = np.zeros(3 * m + 1)
        first_guess[:m] = np.log(2.0)
        first_guess[m - 2 : m] = np.log(4.0)
        first_guess[-1] = np.log(1e-3)
    else:
        first_guess = np.log([*start.lengths, *start.warp_first, *start.warp_second, start.noise_ratio])
    bounds = [(np.log(0.1), np.log(40.0))] * m + [(-np.log(widest), np.log(widest))] * (2 * m)
    bounds.append((np.log(1e-7), np.log(0.1)))
    found = minimize(
        negative_log_likelihood,
        first_guess,
        args=(inputs, mean_terms(device, degree), lab, counts),
        jac=True,
        method="L-BFGS-B",
        bounds=bounds,
        options={"maxiter": steps},
    )
    lengths, first, second = np.exp(found.x[: 3 * m]).reshape(3, m)
    return Hyperparameters(
        lengths=lengths,
        warp_first=first,
        warp_second=second,
        noise_ratio=float(np.exp(found.x[3 * m])),
        degree=degree,
    )
