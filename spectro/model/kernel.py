"""The correlation of the device model between device values: warped inputs and the Matérn 5/2 class, with their slopes.

A photo driver swaps inks where the largest or the smallest of R, G, B passes a threshold, so these two are inputs of
their own. The warp is the distribution function of [Kumaraswamy-1980], 1 - (1 - u^a)^b, without its outermost ends: smooth,
rising, and it bends to the tone curve of a channel with two parameters.

With s = sqrt(5) d, d the distance of two warped points, length scales divided out, the correlation is
(1 + s + s^2 / 3) exp(-s) and its slope by s^2 is -(1 + s) exp(-s) / 6. Reference: [Rasmussen-Williams-2006], the Matérn class.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray, keep_floats

_EDGE = 0.05  # the part of the warp's ends that is left out, where its slope may be without bound
_CACHE_CELLS = 40_000  # correlations computed at once: they and what they are made of stay in the cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hyperparameters:
    """What the likelihood decides: one entry an input (channels, largest, smallest)."""

    lengths: FloatArray  # (m,), in warped units
    warp_first: FloatArray  # (m,)
    warp_second: FloatArray  # (m,)
    noise_ratio: float  # variance of one reading's noise over the variance of the signal
    degree: int = 2  # of the mean in device values

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "lengths", "warp_first", "warp_second")

    def place(self, device: FloatArray) -> FloatArray:
        """Return the points (n, m) of device values (n, channels), 0 to 1, that `matern` takes."""
        placed: FloatArray = warp(model_inputs(device), self.warp_first, self.warp_second) / self.lengths
        return placed

    def correlation(self, first: FloatArray, second: FloatArray) -> FloatArray:
        """Return the correlation (n, k) of placed points (n, m) and (k, m)."""
        return matern(first, second)

    def correlation_times(self, first: FloatArray, second: FloatArray, coefficients: FloatArray) -> FloatArray:
        """Return the product (n, j) of `correlation` with coefficients (k, j)."""
        return matern_times(first, second, coefficients)

    def variance(self, device: FloatArray) -> FloatArray:
        """Return the variance (n,) of the signal at device values (n, channels), over itself: it is the same everywhere."""
        return np.ones(len(device))


def model_inputs(device: FloatArray) -> FloatArray:
    """Return (n, channels + 2): device values (n, channels), 0 to 1, with their largest and smallest value a row."""
    return np.column_stack([device, device.max(axis=1), device.min(axis=1)])


def warp(inputs: FloatArray, first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the warped inputs (n, m); first, second: (m,) positive exponents.

    >>> warp(np.array([[0.0, 0.5, 1.0]]), np.ones(3), np.ones(3)).round(6).tolist()
    [[0.05, 0.5, 0.95]]
    """
    inside = _EDGE + (1 - 2 * _EDGE) * inputs
    return 1 - (1 - inside**first) ** second


def warp_slopes(inputs: FloatArray, first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the slopes (n, m) of `warp` with respect to first and to second.

    inputs: (n, m), 0 to 1; first, second: (m,), exponents, above 0. At the ends, where a slope has no bound, that just inside.
    """
    inside = _EDGE + (1 - 2 * _EDGE) * inputs
    power = inside**first
    rest = 1 - power
    by_first = second * rest ** (second - 1) * power * np.log(inside)
    by_second = -(rest**second) * np.log(rest)
    return by_first, by_second


def matern(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the correlation (n, m) of points (n, k) and (m, k), length scales already divided out."""
    result = np.empty((len(first), len(second)), dtype=np.result_type(first, second))
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
    spare = np.empty((2, min(step, len(first)), len(second)), dtype=left.dtype)
    for start in range(0, len(first), step):
        rows = slice(start, min(start + step, len(first)))
        count = rows.stop - start
        correlation = spare[1, :count] if result is None else result[rows]
        np.matmul(left[rows], right.T, out=correlation)
        np.maximum(correlation, 0, out=correlation)
        matern_with_slopes(correlation, spare[0, :count])
        use(rows, correlation)


def matern_with_slopes(squared: FloatArray, slopes: FloatArray | None = None) -> FloatArray:
    """Turn s^2, of `five_squared_distances`, into its correlations in place; return -6 times their slopes by s^2.

    slopes: where to put these; of the same shape.
    """
    near = np.sqrt(squared, out=slopes)
    decay = np.negative(near)
    np.exp(decay, out=decay)
    near += 1
    near *= decay
    squared *= 1 / 3
    squared *= decay
    squared += near
    return near


def five_squared_distances(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return five times the squared distances (n, m) of points (n, k) and (m, k)."""
    left, right = _factors(first, second)
    squared: FloatArray = left @ right.T
    return np.maximum(squared, 0, out=squared)


def _factors(first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return matrices whose product, the second transposed, holds five times the squared distances."""
    left = np.column_stack([-10 * first, 5 * (first**2).sum(axis=1), np.ones(len(first), dtype=first.dtype)])
    right = np.column_stack([second, np.ones(len(second), dtype=second.dtype), 5 * (second**2).sum(axis=1)])
    return left, right
