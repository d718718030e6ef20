"""Recipes among the patches of a file that holds colours: their noise, the bare paper."""

import numpy as np

from spectro.checks.forecast import repeat_noise
from spectro.errors import InputError
from spectro.readings.greys import paper_row
from spectro.readings.repeats import recipe_groups
from spectro.records.arrays import FloatArray, IntArray


def recipe_counts(device: FloatArray) -> IntArray:
    """Return how often each recipe was read (m,), recipes in the order of their first reading."""
    return np.bincount(recipe_groups(device)) if device.shape[1] else np.ones(len(device), dtype=np.int64)


def recipe_noise(device: FloatArray, lab: FloatArray) -> tuple[float | None, str]:
    """Return the mean ΔE00 of one reading from its repeats, None for too few, and how it was found."""
    group = recipe_groups(device)
    counts = np.bincount(group)
    noise = repeat_noise(lab, group, counts)
    return noise, "too few repeats" if noise is None else f"{int((counts[group] > 1).sum())} repeated readings"


def compared_paper(space: str, device: FloatArray, lab: FloatArray, origin: str) -> int:
    """Return the row of the unprinted paper; the lightest where device values are not known. Raises InputError for none."""
    if not space:
        return int(np.argmax(lab[:, 0]))
    row = paper_row(space, device, lab[:, 0])
    if row is None:
        raise InputError(f"no unprinted patch in {origin}", "a patch of bare paper", "Measure one.")
    return row
