"""Repeats of one recipe averaged as reflectance (common practice, no source: never as Lab).

A set of readings has one measurement condition and one backing, so an average never crosses either.
"""

import numpy as np

from spectro.records.measurement import MeasurementSet
from spectro.records.repeats import RepeatAverages

RESOLUTION = 1e-6  # device values are those of one recipe when equal after rounding to this


def average_repeats(measurements: MeasurementSet) -> RepeatAverages:
    """Return the mean reflectance of each recipe, in the order of first readings, with what each reading differs by."""
    keys = np.round(measurements.device / RESOLUTION).astype(np.int64)
    _, first, inverse, counts = np.unique(keys, axis=0, return_index=True, return_inverse=True, return_counts=True)
    order = np.argsort(first)
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    group = rank[inverse.reshape(-1)]
    sums = np.zeros((len(order), measurements.reflectance.shape[1]))
    np.add.at(sums, group, measurements.reflectance)
    mean = sums / counts[order][:, None]
    once = counts[order] == 1
    mean[once] = measurements.reflectance[first[order][once]]
    return RepeatAverages(
        device=measurements.device[first[order]],
        reflectance=mean,
        counts=counts[order],
        first=first[order],
        group=group,
        residual=measurements.reflectance - mean[group],
    )
