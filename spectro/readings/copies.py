"""Is a file of readings a copy of another one, under another name or date? No two readings agree to the last digit."""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray

_CHANCE = 12  # readings that may be the same to the last digit in two files: blank and black patches, coarse values


def are_copies(one: FloatArray, other: FloatArray) -> bool:
    """Whether more than half of the rows of the shorter of two arrays (n, k), (m, k) are the same in both, in any order.

    >>> rows = np.arange(60.0).reshape(30, 2)
    >>> are_copies(rows, rows[::-1]), are_copies(rows, rows + 0.001), are_copies(rows[:10], rows)
    (True, False, False)
    """
    rows, held = ({row.tobytes() for row in np.ascontiguousarray(values)} for values in (one, other))
    return one.shape[1] == other.shape[1] > 0 and len(rows & held) > max(_CHANCE, min(len(rows), len(held)) / 2)


def check_no_copy(name: str, values: FloatArray, of: str, others: FloatArray, advice: str) -> None:
    """Raise InputError where readings (n, k) are a copy of others (m, k). name, of: their names; advice: what to do."""
    if are_copies(values, others):
        raise InputError(f"{name}, which holds the same readings as {of}", "another print", advice)
