"""Which table a print path reads, if any, and how noisy its readings are: what makes the chart itself most likely.

Reference: [Rasmussen-Williams-2006], marginal likelihood for choosing among models.
"""

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from spectro.maths.row_blocks import together
from spectro.maths.spread import even_regions, farthest_points
from spectro.model.exact import predictive_density, solve_exact
from spectro.model.kernel import Hyperparameters
from spectro.model.likelihood import mean_terms, negative_log_evidence
from spectro.model.prior import Lattice, PathTable, Prior
from spectro.records.arrays import FloatArray, IntArray

LATTICES = (*(Lattice(nodes, 1 / (nodes - 1)) for nodes in (16, 17, 21, 33)), Lattice(17, 16 / 255))
"""Tables looked for: even ones, and one with a node at every sixteenth of 256 levels. Coarser ones would stand for any kink."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathSearch:
    """What the search rests on; the rows that chose it are in benchmarks/accuracy.md, "A table of the print path"."""

    share: float = 0.5  # of the signal through the table: row "share"
    sparse: tuple[float, float] = (0.25, 0.75)  # node errors and reading noise over that first found; tells tables: row "split"
    dense: tuple[float, float] = (0.5, 0.45)  # the same from `dense_patches` on: row "split"
    dense_patches: int = 600
    noises: tuple[float, ...] = (1.0, 0.7, 0.5, 0.35)  # reading noise over that first found, without a table: row "noise"
    noise_patches: int = 900  # that tell it
    known_patches: int = 400  # up to so many the likelihood that found the noise has seen all: row "noise"
    least_patches: int = 200  # below which no table is looked for: row "gain"
    fine_nodes: int = 32  # tables of more grid points per axis are looked for from `fine_patches` on: row "fine"
    fine_patches: int = 2000
    least_gain: float = 5.0  # of log likelihood, below which no table is believed in: row "gain"
    uneven: float = 5.0  # by so much a lattice that does not end at 1 must be likelier than even ones: row "even"
    region: int = 1250  # patches whose likelihood is taken together: row "regions"
    regions: int = 3  # at most so many
    single_noise: float = 1e-3  # noise ratio from which single precision tells tables: row "single"
    followed: int = 2  # lattices that are looked at beyond the first region


SEARCH = PathSearch()


def find_prior(
    device: FloatArray, lab: FloatArray, counts: FloatArray, found: Hyperparameters, *, tables: bool = True
) -> Prior:
    """Return the prior of greatest likelihood: with the path's table, where one is believed in, and the noise of readings.

    device: (n, channels), lab: (n, outputs), counts: (n,) readings averaged in each row. found: hyperparameters, with the
    noise ratio as a kernel without a table sees it on some patches. tables: whether to look for one at all.
    The likelihood is that of regions of the device cube, each for itself, so that its cost grows no faster than n.
    """
    gain = 0.0
    if tables and device.shape[1] == 3 and len(device) >= SEARCH.least_patches:
        lattice, gain = _likeliest(device, lab, counts, found)
        if gain >= SEARCH.least_gain:
            errors, noise = SEARCH.dense if len(device) >= SEARCH.dense_patches else SEARCH.sparse
            table = PathTable(lattice=lattice, share=SEARCH.share, node_errors=errors * found.noise_ratio)
            return Prior(hyperparameters=replace(found, noise_ratio=noise * found.noise_ratio), table=table, gain=gain)
    return Prior(hyperparameters=_noise_of_more(device, lab, counts, found), gain=gain)


def _likeliest(device: FloatArray, lab: FloatArray, counts: FloatArray, found: Hyperparameters) -> tuple[Lattice, float]:
    """Return the likeliest lattice and its gain of log likelihood over the likeliest noise without one."""
    fine = len(device) >= SEARCH.fine_patches
    plain = np.zeros(len(SEARCH.noises))
    totals = {lattice: np.zeros(1) for lattice in LATTICES if fine or lattice.nodes <= SEARCH.fine_nodes}
    for rows in even_regions(device, SEARCH.region)[: SEARCH.regions]:
        first, *others = together(partial(_evidence, device, lab, counts, found, rows), [None, *totals])
        plain = plain + first
        totals = {lattice: values + more for (lattice, values), more in zip(totals.items(), others, strict=True)}
        totals = dict(sorted(totals.items(), key=_handicapped)[: SEARCH.followed])
    best, values = next(iter(totals.items()))
    return best, float(plain.min() - values.min())


def _handicapped(item: tuple[Lattice, FloatArray]) -> float:
    """Return the negative log likelihood of a lattice, more where it is uneven: a profile's tables have nodes at even ones."""
    lattice, values = item
    return float(values.min()) + (0.0 if lattice.even else SEARCH.uneven)


def _evidence(
    device: FloatArray, lab: FloatArray, counts: FloatArray, found: Hyperparameters, rows: IntArray, lattice: Lattice | None
) -> FloatArray:
    """Return the negative log likelihood of rows for each noise without a table, or with one."""
    here, ratio = device[rows], found.noise_ratio
    prior = Prior(hyperparameters=found)
    smooth, terms = prior.between(here, here), mean_terms(here, found.degree)
    parts = None if lattice is None else prior.table_parts(lattice, here, here, single=ratio >= SEARCH.single_noise)
    values = []
    for errors, noise in [(0.0, noise) for noise in SEARCH.noises] if lattice is None else [SEARCH.sparse]:
        if parts is None or lattice is None:
            covariance = smooth.copy()
        else:
            table = PathTable(lattice=lattice, share=SEARCH.share, node_errors=errors * ratio)
            covariance = replace(prior, table=table).with_table(smooth, *parts)
        covariance.ravel()[:: len(rows) + 1] += noise * ratio / counts[rows]
        values.append(negative_log_evidence(covariance, terms, lab[rows]))
    return np.array(values)


def _noise_of_more(device: FloatArray, lab: FloatArray, counts: FloatArray, found: Hyperparameters) -> Hyperparameters:
    """Return hyperparameters with the noise that best predicts left-out patches, where there are more than found them.

    A kernel cannot hold every small kink of a driver. What is left over looks like noise to the likelihood of a few
    hundred patches, but leave-one-out predictions tell it from noise: they are robust where the model is not quite true
    [Rasmussen-Williams-2006].
    """
    if len(device) <= SEARCH.known_patches:
        return found
    rows = farthest_points(device, SEARCH.noise_patches)
    candidates = [replace(found, noise_ratio=noise * found.noise_ratio) for noise in SEARCH.noises]

    def density(candidate: Hyperparameters) -> float:
        model = solve_exact(device[rows], lab[rows], counts[rows], Prior(hyperparameters=candidate))
        return predictive_density(lab[rows], model)

    return candidates[int(np.argmax(together(density, candidates)))]
