"""Recipes among patches: which device values are the same, and the mean of their readings.

A recipe is one set of device values; patches of one recipe are repeats. Spectra of repeats are averaged as reflectance
(common practice, no source: never as Lab, except where a file holds Lab alone).
"""

from collections.abc import Hashable

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.measurement import MeasurementSet
from spectro.records.readings import Readings
from spectro.records.repeats import RepeatAverages

RESOLUTION = 1e-6
"""Device values are those of one recipe when equal after rounding to this, a 256th of the step of 12 bits."""


LEAST_SHARED = 5  # patches without which a change between two readings says nothing; common practice, no source


def recipe_keys(device: FloatArray) -> IntArray:
    """Return device values (n, channels), 0 to 1, as whole numbers: equal rows are one recipe.

    >>> recipe_keys(np.array([[0.1 + 0.2, 1.0]])).tolist()
    [[300000, 1000000]]
    """
    return np.round(np.asarray(device) / RESOLUTION).astype(np.int64)


def recipe_names(device: FloatArray) -> list[Hashable]:
    """Return one key a row (n,) that can be looked up; equal ones are one recipe."""
    return [tuple(row) for row in recipe_keys(device).tolist()]


def recipe_groups(device: FloatArray) -> IntArray:
    """Return the recipe (n,) of each row of device values (n, channels), numbered in the order of their first rows.

    >>> recipe_groups(np.array([[0.5], [0.0], [0.5]])).tolist()
    [0, 1, 0]
    """
    _, first, inverse = np.unique(recipe_keys(device), axis=0, return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    return np.asarray(rank[inverse.reshape(-1)])


def average_repeats(measurements: MeasurementSet) -> RepeatAverages:
    """Return the mean reflectance of each recipe, in the order of first readings, with what each reading differs by.

    A set of readings has one measurement condition and one backing, so an average never crosses either.
    """
    group = recipe_groups(measurements.device)
    first, counts = np.unique(group, return_index=True)[1], np.bincount(group)
    sums = np.zeros((len(counts), measurements.reflectance.shape[1]))
    np.add.at(sums, group, measurements.reflectance)
    mean = sums / counts[:, None]
    once = counts == 1
    mean[once] = measurements.reflectance[first[once]]
    return RepeatAverages(
        device=measurements.device[first],
        reflectance=mean,
        counts=counts,
        first=first,
        group=group,
        residual=measurements.reflectance - mean[group],
    )


def grouped_means(values: FloatArray, group: IntArray) -> FloatArray:
    """Return the mean (m, k) of the rows of each group, from 0, of values (n, k)."""
    return np.column_stack([np.bincount(group, column) for column in values.T]) / np.bincount(group)[:, None]


def average_lab(device: FloatArray, lab: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return recipes (m, channels) and the mean of their Lab (m, 3), for files that hold no spectra to average."""
    group = recipe_groups(device)
    first = np.unique(group, return_index=True)[1]
    return device[first], grouped_means(lab, group)


def same_patches(first: Readings, second: Readings) -> tuple[list[int], list[int]]:
    """Return the rows of the same patches in both, told by id.

    Raises InputError where wavelengths or measurement conditions differ, and where fewer than five patches are the same.
    """
    if not np.array_equal(first.wavelengths, second.wavelengths):
        raise InputError(f"other wavelengths in {second.origin}", f"those of {first.origin}", "Export both in the same way.")
    if first.condition and second.condition and first.condition != second.condition:
        raise InputError(
            f"{second.condition} in {second.origin}", f"{first.condition}, as {first.origin}", "Read with the same condition."
        )
    at = {identity: row for row, identity in enumerate(second.sample_ids)}
    shared = [(row, at[identity]) for row, identity in enumerate(first.sample_ids) if identity in at]
    if len(shared) < LEAST_SHARED:
        raise InputError(
            f"{len(shared)} patches that {first.origin} and {second.origin} share",
            "five or more of the same ids",
            "Read the same patches again.",
        )
    return [row for row, _ in shared], [row for _, row in shared]
