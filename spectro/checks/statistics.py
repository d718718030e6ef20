"""Statistics of colour differences. Percentiles by linear interpolation between order statistics."""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike
from spectro.records.statistics import DifferenceStatistics


def difference_statistics(differences: ArrayLike) -> DifferenceStatistics:
    """Summarise colour differences (n,), n >= 1. Raises InputError for none at all.

    >>> difference_statistics([0.2, 0.4, 0.5, 0.6, 0.8, 0.9, 1.0, 1.3, 1.7, 2.4]).p95
    2.085
    """
    values = np.asarray(differences, dtype=np.float64).ravel()
    if not len(values):
        raise InputError("no colour difference at all", "one or more", "Give readings with at least one patch.")
    median, p95, p99 = (round(float(value), 12) for value in np.percentile(values, [50, 95, 99]))
    return DifferenceStatistics(
        mean=float(values.mean()), median=median, p95=p95, p99=p99, max=float(values.max()), n=len(values)
    )
