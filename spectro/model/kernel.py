"""The Matérn 5/2 correlation. Reference: [Rasmussen-Williams-2006], the Matérn class."""

from collections.abc import Callable

import numpy as np
from threadpoolctl import threadpool_limits

from spectro.maths.row_blocks import in_row_blocks
from spectro.records.arrays import FloatArray

_BLOCK_CELLS = 400_000  # kernel values a thread computes at a time
_CACHE_CELLS = 40_000  # of which so many at once: they and what they are made of stay in the cache


def matern(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the correlation (n, m) of points (n, k) and (m, k), length scales already divided out."""
    result = np.empty((len(first), len(second)))
    _each_block(first, second, lambda rows, correlation: None, result)
    return result


def matern_times(first: FloatArray, second: FloatArray, coefficients: FloatArray) -> FloatArray:
    """Return the product (n, j) of the correlation `matern` of points (n, k) and (m, k) with coefficients (m, j)."""
    result = np.empty((len(first), coefficients.shape[1]))

    def multiply(rows: slice, correlation: FloatArray) -> None:
        np.matmul(correlation, coefficients, out=result[rows])

    _each_block(first, second, multiply)
    return result


def _each_block(
    first: FloatArray,
    second: FloatArray,
    use: Callable[[slice, FloatArray], None],
    result: FloatArray | None = None,
) -> None:
    """Call use for blocks of rows of first (n, k) with their correlation with second (m, k), written into result if given."""
    left, right = _factors(first, second)
    step = max(1, _CACHE_CELLS // max(len(second), 1))
    spare = np.empty((2, min(step, len(first)), len(second)))
    for start in range(0, len(first), step):
        rows = slice(start, min(start + step, len(first)))
        count = rows.stop - start
        correlation = spare[1, :count] if result is None else result[rows]
        np.matmul(left[rows], right.T, out=correlation)
        np.maximum(correlation, 0, out=correlation)
        scaled = np.sqrt(correlation, out=spare[0, :count])
        correlation *= 1 / 3
        correlation += scaled
        correlation += 1
        np.negative(scaled, out=scaled)
        np.exp(scaled, out=scaled)
        correlation *= scaled
        use(rows, correlation)


def five_squared_distances(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return five times the squared distances (n, m) of points (n, k) and (m, k)."""
    left, right = _factors(first, second)
    squared: FloatArray = left @ right.T
    return np.maximum(squared, 0, out=squared)


def _factors(first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return matrices whose product, the second transposed, holds five times the squared distances."""
    left = np.column_stack([-10 * first, 5 * (first**2).sum(axis=1), np.ones(len(first))])
    right = np.column_stack([second, np.ones(len(second)), 5 * (second**2).sum(axis=1)])
    return left, right


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
    rows = max(1, _BLOCK_CELLS // columns)
    if len(points) <= rows:
        return function(points)
    with one_thread():
        return np.concatenate(in_row_blocks(function, (points,), rows))
