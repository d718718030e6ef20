"""The inputs of the device model: the channels, their largest and smallest value, each through a monotone warp.

A photo driver swaps inks where the largest or the smallest of R, G, B passes a threshold, so these two are inputs of
their own. The warp is the distribution function of [Kumaraswamy-1980], 1 - (1 - u^a)^b, without its outermost ends: smooth,
rising, and it bends to the tone curve of a channel with two parameters.
"""

import numpy as np

from spectro.records.arrays import FloatArray

_EDGE = 0.05  # the part of the distribution's ends that is left out, where its slope may be without bound


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
    """Return the slopes (n, m) of `warp` with respect to first and to second."""
    inside = _EDGE + (1 - 2 * _EDGE) * inputs
    power = inside**first
    rest = 1 - power
    by_first = second * rest ** (second - 1) * power * np.log(inside)
    by_second = -(rest**second) * np.log(rest)
    return by_first, by_second
