"""The Matérn 5/2 correlation. Reference: [Rasmussen-Williams-2006], the Matérn class."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from threadpoolctl import threadpool_limits

from spectro.records.arrays import FloatArray

ROOT_5 = float(np.sqrt(5.0))
_BLOCK_CELLS = 400_000  # kernel values computed at a time: a few MB, which stay in the cache


def matern(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the correlation (n, m) of points (n, k) and (m, k), length scales already divided out."""
    squared: FloatArray = (first**2).sum(axis=1)[:, None] + (second**2).sum(axis=1)[None, :] - 2 * first @ second.T
    np.maximum(squared, 0, out=squared)
    scaled = np.sqrt(squared)
    scaled *= ROOT_5
    decay = np.exp(-scaled)
    squared *= 5 / 3
    squared += scaled
    squared += 1
    squared *= decay
    return squared


def one_thread() -> threadpool_limits:
    """Return a context in which the linear algebra library keeps to one thread.

    Its threads wait for each other by turning in a loop: where other programs keep the cores busy, that makes matrices of
    a few hundred rows ten times slower. What is worth two threads is split by `in_blocks`.
    """
    return threadpool_limits(1)


def in_blocks(function: Callable[[FloatArray], FloatArray], points: FloatArray, columns: int) -> FloatArray:
    """Apply function to blocks of rows of points (n, k) on two threads and join the results, in order.

    columns: kernel columns a row; sets the size of a block. numpy releases the interpreter while it computes, so two
    threads nearly halve the time.
    """
    if not len(points):
        return function(points)
    blocks = np.array_split(points, max(1, len(points) * columns // _BLOCK_CELLS))
    if len(blocks) == 1:
        return function(points)
    with one_thread(), ThreadPoolExecutor(2) as pool:
        return np.concatenate(list(pool.map(function, blocks)))
