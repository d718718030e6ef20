"""The default device model: a Gaussian process from device values to Lab, with its uncertainty and its residuals.

Reference: [Rasmussen-Williams-2006]. Found here: the hyperparameters; solved in `exact.py`, or `many_patches.py` for
thousands of patches.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from spectro.errors import InputError
from spectro.maths.row_blocks import one_thread
from spectro.maths.spread import farthest_points
from spectro.model.exact import predictive_density, solve_exact
from spectro.model.kernel import Hyperparameters
from spectro.model.likelihood import find_hyperparameters
from spectro.model.many_patches import solve_projected
from spectro.model.path_search import find_prior
from spectro.model.prior import Prior
from spectro.records.arrays import FloatArray
from spectro.standards.limits import shipped_limits

LEAST_PATCHES = 12
_MOVED_TOGETHER = 0.01  # device values, root mean square: what lies nearer to a plane than that has no direction of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class FitSettings:
    """What the fit rests on; the rows that chose it are in benchmarks/accuracy.md, "What was tried"."""

    first: int = 150  # patches that hyperparameters are found on first, 100 steps
    then: int = 400  # and then, 15 steps; all are solved: row "hyperparameters from 700 or 1200 patches"
    then_steps: int = 15
    thorough_steps: int = 20  # on all patches, where asked for: row "thorough"
    thorough_widest: float = 40.0  # exponent of a warp then
    small: int = 150  # up to this many patches the degree of the mean is chosen, above it is 2: rows "linear", "quadratic mean"
    most_exact: int = 4500  # above, kernels around the basis carry the fit: row "exact or around a basis"
    basis: int = 1600


SETTINGS = FitSettings()


class DeviceModel(Protocol):
    """A fitted model of a printer on a paper. Immutable; its methods are pure functions of it."""

    @property
    def prior(self) -> Prior:
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


def fit_gaussian_process(
    device: FloatArray,
    lab: FloatArray,
    counts: FloatArray | None = None,
    *,
    tables: bool = True,
    thorough: bool = False,
) -> DeviceModel:
    """Fit the model to device (n, channels), 0 to 1 and all different, and lab (n, 3).

    counts: (n,) readings averaged in each row, all 1 unless given. tables: whether a table of the print path's own is looked
    for. thorough: search hyperparameters on all patches too, up to 4500, which takes five times as long or more.
    Raises InputError for fewer than 12 patches, where a channel never changes, and where channels only change together.
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
    spanned = int(np.linalg.matrix_rank(device - device.mean(axis=0), tol=_MOVED_TOGETHER * np.sqrt(len(device))))
    if spanned < device.shape[1]:  # channels that move together, as on a chart of greys in RGB, say nothing of each other
        raise InputError(
            f"{device.shape[1]} channels that move together: they span {spanned} of {device.shape[1]} directions",
            "patches in which every channel changes by itself",
            "Use a chart that spans the printer, not a grey or control strip.",
        )
    counts = np.ones(len(device)) if counts is None else np.asarray(counts, dtype=np.float64)
    with one_thread():
        degrees = (2,) if len(device) > SETTINGS.small else (1, 2) if len(device) > 2 * LEAST_PATCHES else (1,)
        found = [_search(device, lab, counts, degree, thorough) for degree in degrees]
        tables = tables and len(device) <= SETTINGS.most_exact  # the kernels of a basis do not carry errors of nodes
        priors = [find_prior(device, lab, counts, hyperparameters, tables=tables) for hyperparameters in found]
        if len(priors) == 1:
            return solve_gaussian_process(device, lab, counts, priors[0])
        models = [solve_exact(device, lab, counts, prior) for prior in priors]
        return max(models, key=lambda model: predictive_density(lab, model))


def _search(device: FloatArray, lab: FloatArray, counts: FloatArray, degree: int, thorough: bool) -> Hyperparameters:
    """Find hyperparameters on few patches, then on more: that takes a tenth to a twentieth of the time all would take."""
    spread = farthest_points(device, SETTINGS.then)
    rows = spread[: SETTINGS.first]
    found = find_hyperparameters(device[rows], lab[rows], counts[rows], degree=degree)
    if len(device) > SETTINGS.first:
        found = find_hyperparameters(
            device[spread], lab[spread], counts[spread], degree=degree, start=found, steps=SETTINGS.then_steps
        )
    if not thorough:
        return found
    rows = farthest_points(device, SETTINGS.most_exact)
    return find_hyperparameters(
        device[rows],
        lab[rows],
        counts[rows],
        degree=degree,
        start=found,
        steps=SETTINGS.thorough_steps,
        widest=SETTINGS.thorough_widest,
    )


def solve_gaussian_process(device: FloatArray, lab: FloatArray, counts: FloatArray, prior: Prior) -> DeviceModel:
    """Fit the model under a given prior; arguments as for `fit_gaussian_process`."""
    if len(device) <= SETTINGS.most_exact:
        return solve_exact(device, lab, counts, prior)
    return solve_projected(device, lab, counts, prior, device[farthest_points(device, SETTINGS.basis)])
