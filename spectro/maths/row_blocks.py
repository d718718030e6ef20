"""Work on rows in blocks of fixed size, on two threads: numpy leaves the interpreter free while it computes.

The blocks do not depend on the number of threads, and neither do the results.
"""

import contextlib
import ctypes
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import numpy as np
from threadpoolctl import threadpool_limits

from spectro.records.arrays import FloatArray

Argument = TypeVar("Argument")
Result = TypeVar("Result")

_BLOCK_CELLS = 400_000  # numbers a thread computes at a time
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3  # options of the GNU C library's mallopt
_KEPT = 32 * 1024 * 1024  # bytes, the most that library allows for the second
_MOST_THREADS = [2]  # of this process; what is split is too small for more


def usable_cores() -> set[int]:
    """Return the cores this process may work on: fewer than the machine has in a container or when it is pinned."""
    allowed = getattr(os, "sched_getaffinity", None)
    return (set(allowed(0)) if allowed else None) or set(range(os.cpu_count() or 1))


def keep_to_one_thread() -> None:
    """Let this process use no thread but its own from here on: for one of many that share the cores."""
    _MOST_THREADS[0] = 1


def keep_memory() -> None:
    """Let the C library keep freed memory for the next array: for a process of our own, whose memory is nobody else's.

    Given back and fetched again, it costs a tenth of the time; in cluster workers, which are often started with a threshold
    that gives all of it back at once, as much as the work itself.
    """
    with contextlib.suppress(OSError, AttributeError, TypeError):
        set_option = ctypes.CDLL(None).mallopt
        set_option(_MMAP_THRESHOLD, _KEPT)
        set_option(_TRIM_THRESHOLD, 8 * _KEPT)


def threads() -> int:
    """Return on how many threads to work: two where there are two cores, unless this process keeps to one."""
    return min(len(usable_cores()), _MOST_THREADS[0])


def together(function: Callable[[Argument], Result], arguments: Iterable[Argument]) -> list[Result]:
    """Return function(argument) for every argument, in order."""
    if threads() == 1:
        return [function(argument) for argument in arguments]
    with ThreadPoolExecutor(threads()) as pool:
        return list(pool.map(function, arguments))


def in_row_blocks(function: Callable[..., Result], arrays: tuple[FloatArray, ...], rows: int) -> list[Result]:
    """Return function(*blocks) for every block of rows rows of arrays (n, …), in order; one call where there are no rows.

    The function must treat every row for itself.
    """
    starts = range(0, max(len(arrays[0]), 1), rows)
    if len(starts) == 1:
        return [function(*arrays)]
    return together(lambda start: function(*(array[start : start + rows] for array in arrays)), starts)


def one_thread() -> threadpool_limits:
    """Return a context in which the linear algebra library keeps to one thread.

    Its threads wait for each other by turning in a loop: where other programs keep the cores busy, that makes matrices of
    a few hundred rows ten times slower. What is worth two threads is split by `in_blocks`.
    """
    return threadpool_limits(1)


def in_blocks(function: Callable[[FloatArray], FloatArray], points: FloatArray, columns: int) -> FloatArray:
    """Apply function to blocks of rows of points (n, k) on two threads and join the results, in order.

    columns: numbers a row that the function computes on its way; sets the size of a block.
    """
    rows = max(1, _BLOCK_CELLS // columns)
    if len(points) <= rows:
        return function(points)
    with one_thread():
        return np.concatenate(in_row_blocks(function, (points,), rows))
