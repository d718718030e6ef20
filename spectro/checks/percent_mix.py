"""Readings a hundred times too large or small: percentages among fractions. Told by comparison with the prediction."""

from collections.abc import Sequence

import numpy as np

from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.records.arrays import BoolArray, FloatArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("misreads")
NEAR_HUNDRED, LEAST = _LIMITS["hundred_decades"], _LIMITS["hundred_least_y"]
BRIGHTER_THAN_ANY, FAIRLY_BRIGHT = _LIMITS["brightest_print_y"], _LIMITS["fairly_bright_y"]


def without_percent(
    read: Sequence[FloatArray], expected: Sequence[FloatArray]
) -> tuple[list[FloatArray], tuple[BoolArray, ...]]:
    """Return Lab with such readings brought to the scale of the others, and which they were, an array a strip.

    read, expected: Lab (k, 3) a strip. A reading counts by its own expected patch where its strip has one; where a strip
    as a whole is off, all of it counts, whatever its order.
    """
    strips, flags = [], []
    for index, strip in enumerate(read):
        mine = lab_to_xyz(strip)
        wanted = lab_to_xyz(expected[min(index, len(expected) - 1)])
        rows = min(len(mine), len(wanted))
        ratio = np.log10(np.maximum(mine[:rows, 1], 1e-6) / np.maximum(wanted[:rows, 1], LEAST))
        middle = float(np.median(np.log10(np.maximum(mine[:, 1], 1e-6))) - np.median(np.log10(np.maximum(wanted[:, 1], LEAST))))
        decades = np.zeros(len(mine))
        if middle > 1 and mine[:, 1].max() > BRIGHTER_THAN_ANY:
            decades[:] = 2
        elif middle < -1 and mine[:, 1].max() < BRIGHTER_THAN_ANY / 100 and wanted[:, 1].max() > FAIRLY_BRIGHT:
            decades[:] = -2
        else:
            decades[:rows][(np.abs(ratio - 2) < NEAR_HUNDRED) & (mine[:rows, 1] > BRIGHTER_THAN_ANY)] = 2
        flags.append(decades != 0)
        strips.append(xyz_to_lab(mine / 10 ** decades[:, None]) if decades.any() else np.asarray(strip, dtype=np.float64))
    return strips, tuple(flags)
