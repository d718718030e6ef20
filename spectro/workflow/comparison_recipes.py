"""Recipes among the patches of a file that holds colours: which are repeats, their mean, their noise, the bare paper."""

import numpy as np

from spectro.checks.forecast import repeat_noise
from spectro.errors import InputError
from spectro.readings.repeats import RESOLUTION
from spectro.records.arrays import FloatArray, IntArray

WHITE_DEVICE = {"RGB": 1.0}  # device value of unprinted paper; of inks it is 0


def recipe_groups(device: FloatArray) -> IntArray:
    """Return the recipe (n,) of each reading, recipes numbered in the order of their first reading."""
    keys = np.round(device / RESOLUTION).astype(np.int64)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    return rank[inverse.reshape(-1)]


def averaged_lab(device: FloatArray, lab: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return recipes and the mean of their Lab, for files that hold no spectra to average."""
    group = recipe_groups(device)
    counts = np.bincount(group)
    first = np.unique(group, return_index=True)[1]
    mean = np.column_stack([np.bincount(group, lab[:, axis]) for axis in range(3)]) / counts[:, None]
    return device[first], mean


def recipe_noise(device: FloatArray, lab: FloatArray) -> tuple[float | None, str]:
    """Return the mean ΔE00 of one reading from its repeats, None for too few, and how it was found."""
    group = recipe_groups(device)
    counts = np.bincount(group)
    noise = repeat_noise(lab, group, counts)
    return noise, "too few repeats" if noise is None else f"{int((counts[group] > 1).sum())} repeated readings"


def paper_row(space: str, device: FloatArray, lab: FloatArray, origin: str) -> int:
    """Return the row of the unprinted paper; the lightest where device values are not known. Raises InputError for none."""
    if not space:
        return int(np.argmax(lab[:, 0]))
    blank = np.flatnonzero((np.abs(device - WHITE_DEVICE.get(space, 0.0)) < RESOLUTION).all(axis=1))
    if not len(blank):
        raise InputError(f"no unprinted patch in {origin}", "a patch of bare paper", "Measure one.")
    return int(blank[0])
