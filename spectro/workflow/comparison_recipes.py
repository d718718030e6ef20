"""Recipes among the patches of a file that holds colours: their noise, the bare paper."""

import numpy as np

from spectro.checks.forecast import repeat_noise
from spectro.errors import InputError
from spectro.readings.repeats import recipe_groups, recipe_keys
from spectro.records.arrays import FloatArray

WHITE_DEVICE = {"RGB": 1.0}  # device value of unprinted paper; of inks it is 0


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
    white = np.full(device.shape, WHITE_DEVICE.get(space, 0.0))
    blank = np.flatnonzero((recipe_keys(device) == recipe_keys(white)).all(axis=1))
    if not len(blank):
        raise InputError(f"no unprinted patch in {origin}", "a patch of bare paper", "Measure one.")
    return int(blank[0])
