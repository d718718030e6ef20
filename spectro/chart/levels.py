"""Even levels along a channel, and the angle that keeps turns even."""

import numpy as np

from spectro.chart.spread import STEPS
from spectro.records.arrays import IntArray

GOLDEN_ANGLE = float(np.pi * (3 - np.sqrt(5)))
"""Turned by this again and again, directions stay evenly spread however many there are."""


def inner_steps(count: int) -> IntArray:
    """Return count even levels between the ends, ends left out, in steps of 1/255.

    >>> inner_steps(2).tolist()
    [85, 170]
    """
    return np.rint(np.linspace(0, STEPS, count + 2)[1:-1]).astype(np.int64)
