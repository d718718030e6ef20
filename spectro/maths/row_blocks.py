"""Work on rows in blocks of fixed size, on two threads: numpy leaves the interpreter free while it computes.

The blocks do not depend on the number of threads, and neither do the results.
"""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from spectro.records.arrays import FloatArray

Result = TypeVar("Result")


def threads() -> int:
    """Return on how many threads to work: two where there are two processors."""
    return min(os.cpu_count() or 1, 2)


def in_row_blocks(function: Callable[..., Result], arrays: tuple[FloatArray, ...], rows: int) -> list[Result]:
    """Return function(*blocks) for every block of rows rows of arrays (n, …), in order; one call where there are no rows.

    The function must treat every row for itself.
    """
    length = len(arrays[0])
    starts = range(0, max(length, 1), rows)
    parts = [tuple(array[start : start + rows] for array in arrays) for start in starts]
    if len(parts) == 1 or threads() == 1:
        return [function(*part) for part in parts]
    with ThreadPoolExecutor(threads()) as pool:
        return list(pool.map(lambda part: function(*part), parts))
