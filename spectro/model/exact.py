"""The device model solved exactly, which up to a few thousand patches takes a second or two.

With C the covariance of the patches plus their noise, T the terms of the mean and y their Lab, the mean's coefficients are
b = (T' C^-1 T)^-1 T' C^-1 y and the kernel weights C^-1 (y - T b). Reference: [Rasmussen-Williams-2006], prediction with a
linear mean; leave-one-out predictions from the inverse.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from spectro.errors import InputError
from spectro.model.likelihood import mean_terms
from spectro.model.prior import Prior, SolvedModel, fitted_colours
from spectro.records.arrays import FloatArray, frozen_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExactModel(SolvedModel):
    """A `DeviceModel` of which every patch carries a kernel. Immutable."""

    device: FloatArray  # (n, channels) of the patches
    factor: FloatArray  # (n, n), lower Cholesky factor of covariance plus noise

    def uncertainty(self, device: FloatArray) -> FloatArray:
        """Return the standard deviation (n, 3) of the prediction of L*, a*, b*, without the noise of a reading."""
        device = np.asarray(device, dtype=np.float64)
        return spread_of(self.prior.variance(device) - (self._half(device) ** 2).sum(axis=0), self.variance)

    def left_correlation(self, device: FloatArray) -> FloatArray:
        """Return the covariance (n, n) of what is unknown of device values (n, channels), over the signal variance."""
        half = self._half(device)
        left = self.prior.between(device, device)
        left -= half.T @ half
        return left

    def _half(self, device: FloatArray) -> FloatArray:
        return np.asarray(linalg.solve_triangular(self.factor, self.prior.between(self.device, device), lower=True))


def spread_of(left: FloatArray, variance: FloatArray) -> FloatArray:
    """Return the standard deviations (n, 3) of what is left (n,) of the signal variance (3,)."""
    return np.sqrt(np.maximum(left, 1e-12)[:, None] * variance)


def solve_exact(device: FloatArray, lab: FloatArray, counts: FloatArray, prior: Prior) -> ExactModel:
    """Fit to device (n, channels) and lab (n, 3) under a prior; counts: (n,) readings averaged in each row.

    Raises InputError where no covariance explains the readings.
    """
    covariance = prior.between(device, device)
    covariance.ravel()[:: len(device) + 1] += prior.hyperparameters.noise_ratio / counts
    factor = linalg.cholesky(covariance.T, lower=True, overwrite_a=True)
    inverse, status = linalg.lapack.dtrtri(factor, lower=1)
    if status:
        raise InputError("readings that contradict each other", "one printing condition", "Check the files.")
    terms = mean_terms(device, prior.hyperparameters.degree)
    half_terms, half_lab = inverse @ terms, inverse @ lab
    gram = half_terms.T @ half_terms
    mean = np.linalg.solve(gram, half_terms.T @ half_lab)
    residual = half_lab - half_terms @ mean
    coefficients = inverse.T @ residual
    variance = (residual**2).sum(axis=0) / len(device)

    spread_terms = inverse.T @ half_terms
    # leaving a row out changes the linear mean too: the projected inverse of universal kriging
    precision = np.einsum("ij,ij->j", inverse, inverse) - np.einsum(
        "np,np->n", spread_terms, np.linalg.solve(gram, spread_terms.T).T
    )
    return ExactModel(
        prior=prior,
        device=frozen_floats(device),
        colours=fitted_colours(prior, device, coefficients, mean),
        variance=frozen_floats(variance),
        factor=factor,
        left_out=frozen_floats(lab - coefficients / precision[:, None]),
        left_out_spread=frozen_floats(np.sqrt(variance / precision[:, None])),
    )


def predictive_density(lab: FloatArray, model: ExactModel) -> float:
    """Return the mean log density of each patch of Lab (n, 3) under the prediction that leaves it out."""
    deviations = (model.left_out - lab) / model.left_out_spread
    return float(-0.5 * (deviations**2).mean() - np.log(model.left_out_spread).mean())
