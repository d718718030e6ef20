"""The device model solved exactly, which up to a few thousand patches takes a second or two.

With C the correlation of the patches plus their noise, T the terms of the mean and y their Lab, the mean's coefficients are
b = (T' C^-1 T)^-1 T' C^-1 y and the kernel weights C^-1 (y - T b). Reference: [Rasmussen-Williams-2006], prediction with a
linear mean; leave-one-out predictions from the inverse.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from spectro.errors import InputError
from spectro.maths.row_blocks import in_blocks
from spectro.model.kernel import Hyperparameters, matern, matern_square, matern_times
from spectro.model.likelihood import mean_terms
from spectro.records.arrays import FloatArray, frozen_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedColours:
    """The colours a fitted model predicts: its mean plus kernels around patches."""

    hyperparameters: Hyperparameters
    placed: FloatArray  # (n, m), where the patches lie between which the kernel correlates
    coefficients: FloatArray  # (n, 3), kernel weights
    mean: FloatArray  # (terms, 3), of the mean's terms

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        for name in ("placed", "coefficients", "mean"):
            object.__setattr__(self, name, frozen_floats(getattr(self, name)))

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""

        def block(rows: FloatArray) -> FloatArray:
            mean: FloatArray = mean_terms(rows, self.hyperparameters.degree) @ self.mean
            return mean + matern_times(self.hyperparameters.place(rows), self.placed, self.coefficients)

        return in_blocks(block, np.asarray(device, dtype=np.float64), len(self.placed))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExactModel:
    """A `DeviceModel` of which every patch carries a kernel. Immutable."""

    hyperparameters: Hyperparameters
    colours: FittedColours
    variance: FloatArray  # (3,), signal variance of L*, a*, b*
    factor: FloatArray  # (n, n), lower Cholesky factor of correlation plus noise
    left_out: FloatArray  # (n, 3), leave-one-out predictions of the fitted rows, hyperparameters held
    left_out_spread: FloatArray  # (n, 3), their standard deviations, noise of the reading included

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""
        return self.colours.predict(device)

    def uncertainty(self, device: FloatArray) -> FloatArray:
        """Return the standard deviation (n, 3) of the prediction of L*, a*, b*, without the noise of a reading."""
        half = self._half(self.hyperparameters.place(np.asarray(device, dtype=np.float64)))
        return spread_of(1 - (half**2).sum(axis=0), self.variance)

    def left_correlation(self, device: FloatArray) -> FloatArray:
        """Return the covariance (n, n) of what is unknown of device values (n, channels), over the signal variance."""
        placed = self.hyperparameters.place(device)
        half = self._half(placed)
        left = matern(placed, placed)
        left -= half.T @ half
        return left

    def noise(self) -> FloatArray:
        """Return the standard deviation (3,) of one reading of L*, a*, b*, as the likelihood sees it."""
        return np.sqrt(self.hyperparameters.noise_ratio * self.variance)

    def _half(self, placed: FloatArray) -> FloatArray:
        return np.asarray(linalg.solve_triangular(self.factor, matern(placed, self.colours.placed).T, lower=True))


def spread_of(left: FloatArray, variance: FloatArray) -> FloatArray:
    """Return the standard deviations (n, 3) of what is left (n,) of the signal variance (3,)."""
    return np.sqrt(np.maximum(left, 1e-12)[:, None] * variance)


def solve_exact(
    device: FloatArray,
    lab: FloatArray,
    counts: FloatArray,
    hyperparameters: Hyperparameters,
    correlation: FloatArray | None = None,
) -> ExactModel:
    """Fit to device (n, channels) and lab (n, 3) with given hyperparameters; counts: (n,) readings averaged in each row.

    correlation: (n, n) of the device values, where the caller has it; it is overwritten.
    Raises InputError where no covariance explains the readings.
    """
    placed = hyperparameters.place(device)
    covariance = matern_square(placed) if correlation is None else correlation
    covariance.ravel()[:: len(device) + 1] += hyperparameters.noise_ratio / counts
    factor = linalg.cholesky(covariance.T, lower=True, overwrite_a=True)
    inverse, status = linalg.lapack.dtrtri(factor, lower=1)
    if status:
        raise InputError("readings that contradict each other beyond measure", "one printing condition", "Check the files.")
    terms = mean_terms(device, hyperparameters.degree)
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
        hyperparameters=hyperparameters,
        colours=FittedColours(hyperparameters=hyperparameters, placed=placed, coefficients=coefficients, mean=mean),
        variance=frozen_floats(variance),
        factor=factor,
        left_out=frozen_floats(lab - coefficients / precision[:, None]),
        left_out_spread=frozen_floats(np.sqrt(variance / precision[:, None])),
    )
