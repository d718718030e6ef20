"""The default device model: a Gaussian process from device values to Lab, with its uncertainty and its residuals.

Reference: [Rasmussen-Williams-2006], prediction with a linear mean; leave-one-out predictions from the inverse.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy import linalg

from spectro.errors import InputError
from spectro.maths.row_blocks import together
from spectro.maths.spread import farthest_points
from spectro.model.kernel import in_blocks, matern, matern_times, one_thread
from spectro.model.likelihood import Hyperparameters, find_hyperparameters, mean_terms
from spectro.model.many_patches import solve_projected
from spectro.records.arrays import FloatArray, frozen_floats

FIRST_PATCHES, HYPERPARAMETER_PATCHES = 150, 400  # found on few, then on more, solved on all: 10 to 20 times faster
SMALL_CHART = 150  # up to this many patches the degree of the mean is chosen, above it is 2
NOISE_PATCHES = 900  # the noise ratio is chosen on this many
NOISE_SCALES = (1.0, 0.7, 0.5, 0.35)
LEAST_PATCHES = 12
MOST_EXACT, BASIS_PATCHES = 3000, 1600  # above the first, kernels around the second many carry the fit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GaussianProcessModel:
    """A fitted device model. Immutable; `predict` is a pure function of it."""

    hyperparameters: Hyperparameters
    placed: FloatArray  # (n, m), where the readings lie between which the kernel correlates
    coefficients: FloatArray  # (n, 3), kernel weights
    mean: FloatArray  # (terms, 3), of the mean's terms
    variance: FloatArray  # (3,), signal variance of L*, a*, b*
    factor: FloatArray  # (n, n), lower Cholesky factor of correlation plus noise (of the basis alone where projected)
    left_out: FloatArray  # (n, 3), leave-one-out predictions of the fitted rows, hyperparameters held
    left_out_spread: FloatArray  # (n, 3), their standard deviations, noise of the reading included
    inner: FloatArray | None = None  # of a projected fit to thousands of patches, see many_patches.py

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""
        device = np.asarray(device, dtype=np.float64)

        def block(rows: FloatArray) -> FloatArray:
            mean: FloatArray = mean_terms(rows, self.hyperparameters.degree) @ self.mean
            return mean + matern_times(self.hyperparameters.place(rows), self.placed, self.coefficients)

        return in_blocks(block, device, len(self.placed))

    def uncertainty(self, device: FloatArray) -> FloatArray:
        """Return the standard deviation (n, 3) of the prediction of L*, a*, b*, without the noise of a reading."""
        correlation = matern(self.hyperparameters.place(np.asarray(device, dtype=np.float64)), self.placed)
        half = linalg.solve_triangular(self.factor, correlation.T, lower=True)
        left: FloatArray = 1 - (half**2).sum(axis=0)
        if self.inner is not None:
            left = left + (linalg.solve_triangular(self.inner, half, lower=True) ** 2).sum(axis=0)
        left = np.maximum(left, 1e-12)
        return np.sqrt(left[:, None] * self.variance)

    def noise(self) -> FloatArray:
        """Return the standard deviation (3,) of one reading of L*, a*, b*, as the likelihood sees it."""
        return np.sqrt(self.hyperparameters.noise_ratio * self.variance)


def fit_gaussian_process(device: FloatArray, lab: FloatArray, counts: FloatArray | None = None) -> GaussianProcessModel:
    """Fit the model to device (n, channels), 0 to 1 and all different, and lab (n, 3).

    counts: (n,) readings averaged in each row, all 1 unless given.
    Raises InputError for fewer than 12 patches or where a channel never changes.
    """
    if len(device) < LEAST_PATCHES:
        raise InputError(f"{len(device)} different patches", f"{LEAST_PATCHES} or more", "Measure a chart with more patches.")
    still = np.flatnonzero(np.ptp(device, axis=0) < 0.25)
    if len(still):
        raise InputError(
            f"channel {still[0] + 1} spans only {np.ptp(device[:, still[0]]):.2f} of its range",
            "patches over the whole range of every channel",
            "Use a chart that spans the printer, not a grey or control strip.",
        )
    counts = np.ones(len(device)) if counts is None else np.asarray(counts, dtype=np.float64)
    with one_thread():
        return _fit(device, lab, counts)


def _fit(device: FloatArray, lab: FloatArray, counts: FloatArray) -> GaussianProcessModel:
    degrees = (1, 2) if len(device) <= SMALL_CHART else (2,)
    found = [_search(device, lab, counts, degree) for degree in degrees if degree == 1 or len(device) > 2 * LEAST_PATCHES]
    best = (
        max(found, key=lambda candidate: _predictive_density(lab, solve_gaussian_process(device, lab, counts, candidate)))
        if found[1:]
        else found[0]
    )
    return solve_gaussian_process(device, lab, counts, best)


def _search(device: FloatArray, lab: FloatArray, counts: FloatArray, degree: int) -> Hyperparameters:
    """Find hyperparameters on few patches, then on more, and choose the noise by leave-one-out.

    A kernel cannot hold every small kink of a driver. What is left over looks like noise to the likelihood of a few
    hundred patches, but leave-one-out predictions tell it from noise: they are robust where the model is not quite true
    [Rasmussen-Williams-2006].
    """
    spread = farthest_points(device, NOISE_PATCHES)
    rows = spread[:FIRST_PATCHES]
    found = find_hyperparameters(device[rows], lab[rows], counts[rows], degree=degree)
    if len(device) > FIRST_PATCHES:
        rows = spread[:HYPERPARAMETER_PATCHES]
        found = find_hyperparameters(device[rows], lab[rows], counts[rows], degree=degree, start=found, steps=15)
    candidates = [replace(found, noise_ratio=found.noise_ratio * scale) for scale in NOISE_SCALES]
    placed = found.place(device[spread])
    correlation = _correlation(placed)
    models = together(lambda c: _solved(device[spread], lab[spread], counts[spread], c, placed, correlation.copy()), candidates)
    densities = [_predictive_density(lab[spread], model) for model in models]
    return candidates[int(np.argmax(densities))]


def _predictive_density(lab: FloatArray, model: GaussianProcessModel) -> float:
    """Return the mean log density of each patch of Lab (n, 3) under the prediction that leaves it out."""
    deviations = (model.left_out - lab) / model.left_out_spread
    return float(-0.5 * (deviations**2).mean() - np.log(model.left_out_spread).mean())


def solve_gaussian_process(
    device: FloatArray, lab: FloatArray, counts: FloatArray, hyperparameters: Hyperparameters
) -> GaussianProcessModel:
    """Fit the model with given hyperparameters; arguments as for `fit_gaussian_process`."""
    if len(device) > MOST_EXACT:
        basis = device[farthest_points(device, BASIS_PATCHES)]
        solution = solve_projected(device, lab, counts, hyperparameters, basis)
        return GaussianProcessModel(
            hyperparameters=hyperparameters,
            **{name: getattr(solution, name) for name in solution.__dataclass_fields__},
        )
    placed = hyperparameters.place(device)
    return _solved(device, lab, counts, hyperparameters, placed, _correlation(placed))


def _correlation(placed: FloatArray) -> FloatArray:
    return in_blocks(lambda rows: matern(rows, placed), placed, len(placed))


def _solved(
    device: FloatArray,
    lab: FloatArray,
    counts: FloatArray,
    hyperparameters: Hyperparameters,
    placed: FloatArray,
    covariance: FloatArray,
) -> GaussianProcessModel:
    """As `solve_gaussian_process`, for places (n, m) and their correlation (n, n), which is overwritten."""
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
    left_out = lab - coefficients / precision[:, None]
    return GaussianProcessModel(
        hyperparameters=hyperparameters,
        placed=frozen_floats(placed),
        coefficients=frozen_floats(coefficients),
        mean=frozen_floats(mean),
        variance=frozen_floats(variance),
        factor=factor,
        left_out=frozen_floats(left_out),
        left_out_spread=frozen_floats(np.sqrt(variance / precision[:, None])),
    )
