"""The device model for inks, fitted: a Gaussian process from ink values to Lab.

Reference: [Rasmussen-Williams-2006]. The kernel is that of `ink_kernel.py`.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.maths.row_blocks import one_thread
from spectro.maths.spread import farthest_points
from spectro.model.exact import ExactModel
from spectro.model.gaussian_process import DeviceModel, solve_gaussian_process
from spectro.model.ink_kernel import InkHyperparameters, lattice_colours
from spectro.model.ink_likelihood import InkSearch, find_ink_hyperparameters
from spectro.model.likelihood import mean_terms
from spectro.model.many_patches import ProjectedModel
from spectro.model.prior import Prior
from spectro.records.arrays import FloatArray

MOST_INKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class InkFitSettings:
    """What the fit rests on; the rows that chose it are in benchmarks/inks.md."""

    first: int = 200  # patches, spread evenly, on which hyperparameters are searched
    first_steps: int = 100
    then: int = 400  # and on which they are searched further
    then_steps: int = 15
    thorough: int = 1200  # the same where asked for
    least_an_ink: int = 8  # patches
    moved: float = 0.25  # of its range, that every ink must span


SETTINGS = InkFitSettings()


def fit_ink_process(
    device: FloatArray, lab: FloatArray, counts: FloatArray | None = None, *, thorough: bool = False
) -> DeviceModel:
    """Fit the model to device (n, inks), 0 to 1 and all different, and lab (n, 3).

    counts: (n,) readings averaged in each row, all 1 unless given. thorough: search on more patches.
    Raises InputError for too few patches, for an ink that hardly changes, and where inks only change together.
    """
    _check(device)
    counts = np.ones(len(device)) if counts is None else np.asarray(counts, dtype=np.float64)
    with one_thread():
        found = _found(device, lab, counts, thorough)
        return solve_gaussian_process(device, lab, counts, Prior(hyperparameters=found))


def _found(device: FloatArray, lab: FloatArray, counts: FloatArray, thorough: bool) -> InkHyperparameters:
    """Return the hyperparameters of greatest likelihood."""
    spread = farthest_points(device, SETTINGS.thorough if thorough else SETTINGS.then)

    def search(count: int) -> InkSearch:
        rows = spread[:count]
        return InkSearch(device=device[rows], lab=lab[rows], counts=counts[rows])

    first = search(SETTINGS.first)
    point, _ = find_ink_hyperparameters(first, first.start(), SETTINGS.first_steps)
    last = search(len(spread))
    point, _ = find_ink_hyperparameters(last, point, SETTINGS.then_steps)
    return last.hyperparameters(point)


def _check(device: FloatArray) -> None:
    inks = device.shape[1]
    if not 3 <= inks <= MOST_INKS:
        raise InputError(f"{inks} inks", f"3 to {MOST_INKS}", "Use readings of a chart in so many inks.")
    least = SETTINGS.least_an_ink * inks
    if len(device) < least:
        raise InputError(f"{len(device)} different patches", f"{least} or more", "Measure a chart with more patches.")
    still = np.flatnonzero(np.ptp(device, axis=0) < SETTINGS.moved)
    if len(still):
        raise InputError(
            f"ink {still[0] + 1} spans only {100 * np.ptp(device[:, still[0]]):.0f} % of its range",
            "patches over the whole range of every ink",
            "Print and read a chart that spans the printer, not a grey or control strip.",
        )
    together_ = int(np.linalg.matrix_rank(device - device.mean(axis=0), tol=0.01 * np.sqrt(len(device))))
    overprints = (np.count_nonzero(device > 0.1, axis=1) >= 2).sum()
    if together_ < inks or overprints < inks:
        raise InputError(
            "inks that only change together" if together_ < inks else f"{overprints} patches of two or more inks",
            "patches in which every ink changes by itself, and overprints of them",
            "Make a chart with spectro chart new --channels and the inks' names, print and read it.",
        )


def colours_of_lattice(model: DeviceModel, axes: list[FloatArray]) -> FloatArray:
    """Return Lab (k1, …, kc, 3) of a fitted model at a lattice; axes: the device values (k,) along every ink.

    The same as its `predict`, in a small part of the time. Raises TypeError for a model that is not one of inks.
    """
    if not isinstance(model, ExactModel | ProjectedModel) or not isinstance(model.prior.hyperparameters, InkHyperparameters):
        raise TypeError("expected a model of inks")
    hyperparameters, colours = model.prior.hyperparameters, model.colours
    with one_thread():
        found = lattice_colours(hyperparameters, colours.placed, colours.coefficients, axes)
    device = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, len(axes))
    return found + (mean_terms(device, hyperparameters.degree) @ colours.mean).reshape(found.shape)
