"""The Gaussian process for thousands of patches: kernels around a few thousand of them carry what all patches say.

Reference: [Rasmussen-Williams-2006], approximations for large data sets: projected process (deterministic training
conditional). The cost grows with the number of patches instead of its cube.
"""

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from spectro.model.kernel import in_blocks, matern
from spectro.model.likelihood import Hyperparameters, mean_terms
from spectro.records.arrays import FloatArray

_JITTER = 1e-8  # keeps the basis' own correlation positive definite


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProjectedSolution:
    """What a model keeps of a projected fit; the names are those of `GaussianProcessModel`."""

    placed: FloatArray
    coefficients: FloatArray
    mean: FloatArray
    variance: FloatArray
    factor: FloatArray
    inner: FloatArray  # (m, m), lower Cholesky factor of what the readings add to the prior
    left_out: FloatArray
    left_out_spread: FloatArray


def solve_projected(
    device: FloatArray, lab: FloatArray, counts: FloatArray, hyperparameters: Hyperparameters, basis: FloatArray
) -> ProjectedSolution:
    """Fit to device (n, channels) and lab (n, 3) with kernels around basis (m, channels) only; counts: (n,)."""
    placed = hyperparameters.place(basis)
    correlation = matern(placed, placed)
    correlation[np.diag_indices(len(placed))] += _JITTER
    factor = linalg.cholesky(correlation, lower=True, overwrite_a=True)
    features = in_blocks(
        lambda rows: linalg.solve_triangular(factor, matern(placed, hyperparameters.place(rows)), lower=True).T,
        device,
        2 * len(placed),
    )
    precision = (counts / hyperparameters.noise_ratio)[:, None]
    terms = mean_terms(device, hyperparameters.degree)
    weighted = precision * features
    normal = features.T @ weighted
    normal[np.diag_indices(len(placed))] += 1
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
    return ProjectedSolution(
        placed=placed,
        coefficients=linalg.solve_triangular(factor, inside, lower=True, trans="T"),
        mean=mean,
        variance=variance,
        factor=factor,
        inner=inner,
        left_out=lab - residual / free,
        left_out_spread=np.sqrt(variance / precision / free),
    )
