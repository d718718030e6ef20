"""The default device model: a Gaussian process from device values to Lab, with its uncertainty and its residuals.

Reference: [Rasmussen-Williams-2006]. Found here: the hyperparameters; solved in `exact.py`, or `many_patches.py` for
thousands of patches.
"""

from dataclasses import replace
from typing import Protocol

import numpy as np

from spectro.errors import InputError
from spectro.maths.row_blocks import one_thread, together
from spectro.maths.spread import farthest_points
from spectro.model.exact import ExactModel, solve_exact
from spectro.model.kernel import Hyperparameters, matern_square
from spectro.model.likelihood import find_hyperparameters
from spectro.model.many_patches import solve_projected
from spectro.records.arrays import FloatArray
from spectro.standards.limits import shipped_limits

FIRST_PATCHES, HYPERPARAMETER_PATCHES = 150, 400  # found on few, then on more, solved on all: 10 to 20 times faster
SMALL_CHART = 150  # up to this many patches the degree of the mean is chosen, above it is 2
NOISE_PATCHES = 900  # the noise ratio is chosen on this many
NOISE_SCALES = (1.0, 0.7, 0.5, 0.35)
LEAST_PATCHES = 12
MOST_EXACT, BASIS_PATCHES = 3000, 1600  # above the first, kernels around the second many carry the fit


class DeviceModel(Protocol):
    """A fitted model of a printer on a paper. Immutable; its methods are pure functions of it."""

    @property
    def hyperparameters(self) -> Hyperparameters:
        """What the likelihood decided."""

    @property
    def variance(self) -> FloatArray:
        """The signal variance (3,) of L*, a*, b*."""

    @property
    def left_out(self) -> FloatArray:
        """Leave-one-out predictions (n, 3) of the fitted rows, hyperparameters held."""

    @property
    def left_out_spread(self) -> FloatArray:
        """Their standard deviations (n, 3), noise of the reading included."""

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""

    def uncertainty(self, device: FloatArray) -> FloatArray:
        """Return the standard deviation (n, 3) of the prediction of L*, a*, b*, without the noise of a reading."""

    def left_correlation(self, device: FloatArray) -> FloatArray:
        """Return the covariance (n, n) of what is unknown of device values (n, channels), over the signal variance."""

    def noise(self) -> FloatArray:
        """Return the standard deviation (3,) of one reading of L*, a*, b*, as the likelihood sees it."""


def least_to_predict() -> int:
    """Return how many different patches carry a model that is asked for colours that were not read."""
    return int(shipped_limits("model")["patches_to_predict"])


def fit_gaussian_process(device: FloatArray, lab: FloatArray, counts: FloatArray | None = None) -> DeviceModel:
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
        return solve_gaussian_process(device, lab, counts, _search(device, lab, counts))


def _search(device: FloatArray, lab: FloatArray, counts: FloatArray) -> Hyperparameters:
    """Return the best hyperparameters; for a small chart the degree of the mean is the one that predicts left-out patches."""
    if len(device) > SMALL_CHART:
        return _search_degree(device, lab, counts, 2)
    degrees = (1, 2) if len(device) > 2 * LEAST_PATCHES else (1,)
    found = [_search_degree(device, lab, counts, degree) for degree in degrees]
    if len(found) == 1:
        return found[0]
    return max(found, key=lambda candidate: _predictive_density(lab, solve_exact(device, lab, counts, candidate)))


def _search_degree(device: FloatArray, lab: FloatArray, counts: FloatArray, degree: int) -> Hyperparameters:
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
    correlation = matern_square(found.place(device[spread]))
    models = together(lambda c: solve_exact(device[spread], lab[spread], counts[spread], c, correlation.copy()), candidates)
    densities = [_predictive_density(lab[spread], model) for model in models]
    return candidates[int(np.argmax(densities))]


def _predictive_density(lab: FloatArray, model: ExactModel) -> float:
    """Return the mean log density of each patch of Lab (n, 3) under the prediction that leaves it out."""
    deviations = (model.left_out - lab) / model.left_out_spread
    return float(-0.5 * (deviations**2).mean() - np.log(model.left_out_spread).mean())


def solve_gaussian_process(
    device: FloatArray, lab: FloatArray, counts: FloatArray, hyperparameters: Hyperparameters
) -> DeviceModel:
    """Fit the model with given hyperparameters; arguments as for `fit_gaussian_process`."""
    if len(device) <= MOST_EXACT:
        return solve_exact(device, lab, counts, hyperparameters)
    return solve_projected(device, lab, counts, hyperparameters, device[farthest_points(device, BASIS_PATCHES)])
