"""Percentiles whose method is named, and the scatter of repeats. Two methods give two numbers from the same data."""

import numpy as np

from spectro.colour.difference import delta_e_76, delta_e_2000
from spectro.errors import InputError
from spectro.records.arrays import ArrayLike

LINEAR = "linear interpolation"
NEAREST_RANK = "nearest rank"
METHODS = (LINEAR, NEAREST_RANK)


def percentile(values: ArrayLike, share: float, method: str = LINEAR) -> float:
    """Return the percentile at share, 0 to 100, of values (n,), n >= 1.

    method: "linear interpolation" between order statistics, as reports use, or "nearest rank", the smallest value that
    share per cent of all do not exceed.

    >>> data = [0.2, 0.4, 0.5, 0.6, 0.8, 0.9, 1.0, 1.3, 1.7, 2.4]
    >>> round(percentile(data, 95), 3), percentile(data, 95, NEAREST_RANK)
    (2.085, 2.4)
    """
    data = np.sort(np.asarray(values, dtype=np.float64).ravel())
    if not len(data):
        raise InputError("no values at all", "one or more", "Give readings with at least one patch.")
    if not 0 <= share <= 100:
        raise InputError(f"the percentile {share:g}", "0 to 100", "95 is usual.")
    if method == LINEAR:
        return float(np.percentile(data, share))
    if method == NEAREST_RANK:
        return float(data[max(int(np.ceil(share / 100 * len(data) - 1e-9)), 1) - 1])
    raise InputError(f"the percentile method {method!r}", "one of " + ", ".join(METHODS), "Choose one of these.")


def mean_difference_from_mean(lab: ArrayLike) -> tuple[float, float]:
    """Return the mean ΔE*ab and ΔE00 of readings (n, 3), n >= 1, of one colour from their mean."""
    values = np.atleast_2d(np.asarray(lab, dtype=np.float64))
    if not len(values):
        raise InputError("no readings", "one or more", "Read the colour.")
    mean = values.mean(axis=0)
    return float(delta_e_76(mean, values).mean()), float(delta_e_2000(mean, values).mean())
