"""Greys that were not read, predicted from the colours nearest to grey."""

import numpy as np

from spectro.maths.row_blocks import one_thread
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.records.arrays import FloatArray, IntArray

LEAST_WITHOUT_PAPER = 100  # of a chart whose bare paper was not read
_NEAREST = 300  # recipes nearest to grey that are used
_DARKEST = 1e-4  # reflectance below which noise rules
_SPREAD = 20.0  # of the first component: about that of Lab, for which the model is made


def nearest_to_grey(colour_space: str, device: FloatArray) -> IntArray:
    """Return the rows of the recipes nearest to equal RGB, or to black ink alone, the nearest first."""
    away = np.ptp(device, axis=1) if colour_space == "RGB" else device[:, :-1].max(axis=1)
    return np.argsort(away, kind="stable")[:_NEAREST]


def predict_spectra(device: FloatArray, reflectance: FloatArray, counts: FloatArray, places: FloatArray) -> FloatArray:
    """Return reflectance (n, bands) at device values (n, channels): spectra in six components of their cube roots.

    device: (m, channels); reflectance: (m, bands); counts: (m,) readings of each.
    Raises errors of `spectro.errors` where the recipes span too little.
    """
    roots = np.cbrt(np.maximum(reflectance, _DARKEST))
    mean = roots.mean(axis=0)
    _, sizes, shapes = np.linalg.svd(roots - mean, full_matrices=False)
    scale = _SPREAD / (sizes[0] / np.sqrt(len(roots)))
    scores = (roots - mean) @ shapes[:6].T * scale
    with one_thread():
        parts = [
            fit_gaussian_process(device, scores[:, part], counts, tables=False).predict(places)
            for part in (slice(0, 3), slice(3, 6))
        ]
    return np.asarray((np.hstack(parts) @ shapes[:6] / scale + mean) ** 3)


def predict_colours(device: FloatArray, lab: FloatArray, counts: FloatArray, places: FloatArray) -> FloatArray:
    """Return Lab (n, 3) at device values (n, channels), from recipes (m, channels) without spectra. Errors as above."""
    with one_thread():
        return fit_gaussian_process(device, lab, counts).predict(places)
