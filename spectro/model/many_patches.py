"""The device model for thousands of patches: kernels around a few thousand of them carry what all patches say.

Reference: [Rasmussen-Williams-2006], approximations for large data sets: projected process (deterministic training
conditional). The cost grows with the number of patches instead of its cube.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from spectro.maths.row_blocks import in_blocks
from spectro.model.exact import spread_of
from spectro.model.likelihood import mean_terms
from spectro.model.prior import Prior, SolvedModel, fitted_colours
from spectro.records.arrays import FloatArray, frozen_floats

_JITTER = 1e-8  # keeps the basis' own correlation positive definite


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProjectedModel(SolvedModel):
    """A `DeviceModel` of which some patches, the basis, carry the kernels. Immutable."""

    basis: FloatArray  # (m, channels), device values that carry kernels
    factor: FloatArray  # (m, m), lower Cholesky factor of the basis' own covariance
    inner: FloatArray  # (m, m), lower Cholesky factor of what the readings add to the prior

    def uncertainty(self, device: FloatArray) -> FloatArray:
        """Return the standard deviation (n, 3) of the prediction of L*, a*, b*, without the noise of a reading."""
        device = np.asarray(device, dtype=np.float64)
        half, inner = self._halves(device)
        left = self.prior.variance(device) - (half**2).sum(axis=0) + (inner**2).sum(axis=0)
        return spread_of(left, self.variance)

    def left_correlation(self, device: FloatArray) -> FloatArray:
        """Return the covariance (n, n) of what is unknown of device values (n, channels), over the signal variance."""
        half, inner = self._halves(device)
        left = self.prior.between(device, device)
        left -= half.T @ half
        left += inner.T @ inner
        return left

    def _halves(self, device: FloatArray) -> tuple[FloatArray, FloatArray]:
        half = linalg.solve_triangular(self.factor, self.prior.between(self.basis, device), lower=True)
        return half, linalg.solve_triangular(self.inner, half, lower=True)


def solve_projected(device: FloatArray, lab: FloatArray, counts: FloatArray, prior: Prior, basis: FloatArray) -> ProjectedModel:
    """Fit to device (n, channels) and lab (n, 3) with kernels around basis (m, channels) only; counts: (n,)."""
    covariance = prior.between(basis, basis)
    covariance[np.diag_indices(len(basis))] += _JITTER
    factor = linalg.cholesky(covariance, lower=True, overwrite_a=True)
    features = in_blocks(
        lambda rows: linalg.solve_triangular(factor, prior.between(basis, rows), lower=True).T, device, 2 * len(basis)
    )
    precision = (counts / prior.hyperparameters.noise_ratio)[:, None]
    terms = mean_terms(device, prior.hyperparameters.degree)
    weighted = precision * features
    normal = linalg.blas.dsyrk(
        1.0, (np.sqrt(precision) * features).T, lower=1
    )  # below the diagonal, which is all that is asked
    normal[np.diag_indices(len(basis))] += 1
    inner = linalg.cholesky(normal, lower=True, overwrite_a=True)
    crossed = linalg.cho_solve((inner, True), weighted.T @ terms)
    rest = terms - features @ crossed  # what the kernels leave of the mean's terms
    gram = terms.T @ (precision * rest)
    mean = np.linalg.solve(gram, rest.T @ (precision * lab))
    centred = lab - terms @ mean
    inside = linalg.cho_solve((inner, True), weighted.T @ centred)
    residual = centred - features @ inside
    variance = (precision * centred * residual).sum(axis=0) / len(device)

    half = linalg.solve_triangular(inner, features.T, lower=True)
    leverage = precision[:, 0] * ((half**2).sum(axis=0) + np.einsum("np,np->n", rest, np.linalg.solve(gram, rest.T).T))
    free = np.maximum(1 - leverage, 1e-9)[:, None]
    return ProjectedModel(
        prior=prior,
        basis=frozen_floats(basis),
        colours=fitted_colours(prior, basis, linalg.solve_triangular(factor, inside, lower=True, trans="T"), mean),
        variance=frozen_floats(variance),
        factor=factor,
        inner=inner,
        left_out=frozen_floats(lab - residual / free),
        left_out_spread=frozen_floats(np.sqrt(variance / precision / free)),
    )
