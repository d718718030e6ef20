"""The same picture on two papers, matched in one light: how far apart are its colours in another?

Each printed colour of the first paper is matched on the second by mixing the spectra of its nearest readings there; what
is left of the difference in the first light is taken out as [ISO-18314-4] does. Greys and memory colours tell most.
"""

from collections.abc import Sequence

import numpy as np

from spectro.colour.constancy import metamerism_index
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.paper_comparison import PairMetamerism
from spectro.standards.limits import shipped_limits

_REFERENCE, _OBSERVER = "D50", 10
_NEIGHBOURS = 12
_NEAR = shipped_limits("colours")["same_mix"]


def pair_metamerism(
    first: FloatArray,
    second: FloatArray,
    wavelengths: FloatArray,
    rows: Sequence[int],
    lights: Sequence[Light],
) -> PairMetamerism | None:
    """Return the metamerism of rows of first (n, bands) against second (m, bands); None where no colour can be matched.

    wavelengths: (bands,), nm, of both. rows: which of first are matched by mixtures of second with the same D50 colour. lights:
    those under which they are compared again, for the observer of 10 degrees.
    """
    lab_first, lab_second = spectra_to_lab(first, wavelengths), spectra_to_lab(second, wavelengths)
    standards, samples = [], []
    for row in rows:
        mixed = _mix(lab_first[row], lab_second, second)
        if np.linalg.norm(spectra_to_lab(mixed, wavelengths) - lab_first[row]) <= _NEAR:
            standards.append(first[row])
            samples.append(mixed)
    if not standards:
        return None
    found = {
        light.name: metamerism_index(
            np.stack(standards), np.stack(samples), wavelengths, reference=_REFERENCE, test=light, observer=_OBSERVER
        ).delta_e_2000
        for light in lights
    }
    return PairMetamerism(
        reference=_REFERENCE,
        observer=_OBSERVER,
        colours=len(standards),
        mean={name: float(values.mean()) for name, values in found.items()},
        largest={name: float(values.max()) for name, values in found.items()},
    )


def _mix(aim: FloatArray, lab: FloatArray, spectra: FloatArray) -> FloatArray:
    """Return the mix of the nearest spectra (bands,) whose weights, none negative, bring their Lab nearest to aim (3,)."""
    from scipy.optimize import nnls

    near = np.argsort(((lab - aim) ** 2).sum(axis=1), kind="stable")[:_NEIGHBOURS]
    distance = np.sqrt(((lab[near] - aim) ** 2).sum(axis=1))
    if distance[0] < 1e-9:
        return np.asarray(spectra[near[0]])
    rows = np.vstack([(lab[near] - aim).T, np.full(len(near), 100.0), np.diag(0.02 * distance)])
    weights, _ = nnls(rows, np.concatenate([np.zeros(3), [100.0], np.zeros(len(near))]))
    return np.asarray(weights @ spectra[near] / weights.sum())
