"""The wavelengths of the stand-in, and the smooth curves its invented spectra are made of."""

import numpy as np

from spectro.records.arrays import FloatArray, frozen_floats

WAVELENGTHS = frozen_floats(np.arange(380.0, 731.0, 10.0))  # (36,), nm


def bump(centre: float, width: float, height: float) -> FloatArray:
    """Return a bell curve over WAVELENGTHS, (36,): height at centre (nm), standard deviation width (nm).

    >>> float(bump(550, 30, 2.0)[17])
    2.0
    """
    return np.asarray(height * np.exp(-0.5 * ((WAVELENGTHS - centre) / width) ** 2), dtype=np.float64)


def edge(centre: float, width: float, height: float) -> FloatArray:
    """Return a smooth step over WAVELENGTHS, (36,): height at short waves, half of it at centre (nm), 0 at long ones.

    width (nm) is the logistic scale; a negative one turns the step round.

    >>> float(edge(550, 10, 2.0)[17])
    1.0
    """
    steepness = (WAVELENGTHS - centre) / width
    return np.asarray(0.5 * height * (1.0 - np.tanh(0.5 * steepness)), dtype=np.float64)
