"""What device curves may be like before anything is printed: correlations of colour over the device cube, no printer's own.

Each is a Matérn 5/2 correlation [Rasmussen-Williams-2006] over the channels, their largest and their smallest value, each
bent by a Kumaraswamy distribution function [Kumaraswamy-1980]: where the bend is steep, colour is expected to change its
course, and readings there tell less about their surroundings.

The numbers are those that the likelihood of such a model found on printers, rounded; a chart has none of its own. On a
real photo inkjet on matte paper ([Balci-2025], chart B). On sixteen invented drivers with tone curves, dot gain, grey
replacement and, in twelve of them, light inks, all drawn at random (`benchmarks/placement.py`): the middle of the smooth
ones, and that of four on which light inks leave strong kinks.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray

_EDGE = 1e-9  # keeps powers finite at 0 and 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LikelyCurves:
    """One idea of a printer. One entry an input: red, green, blue, their largest, their smallest."""

    lengths: tuple[float, ...]  # in bent units
    first: tuple[float, ...]  # exponents of the bend
    second: tuple[float, ...]
    noise: float  # variance of a reading over that of the signal
    share: float  # of its expected error in what patches are chosen by

    def place(self, device: FloatArray) -> FloatArray:
        """Return the points (n, 5) between which the correlation depends on distance alone; device: (n, 3), 0 to 1."""
        inputs = np.column_stack([device, device.max(axis=1), device.min(axis=1)])
        inside = np.clip(inputs, _EDGE, 1 - _EDGE)
        bent = 1 - (1 - inside ** np.array(self.first)) ** np.array(self.second)
        placed: FloatArray = bent / np.array(self.lengths)
        return placed


REAL_INKJET = LikelyCurves(
    lengths=(0.95, 0.95, 1.0, 4.5, 3.9),
    first=(0.57, 0.61, 0.73, 1.86, 0.78),
    second=(0.75, 0.79, 0.73, 0.77, 3.2),
    noise=7e-4,
    share=0.4,
)
SMOOTH_DRIVER = LikelyCurves(
    lengths=(1.8, 1.8, 3.0, 5.0, 16.0),
    first=(1.8, 1.6, 1.4, 1.0, 1.4),
    second=(1.3, 1.2, 1.4, 1.5, 0.65),
    noise=5e-5,
    share=0.2,
)
KINKED_DRIVER = LikelyCurves(
    lengths=(0.9, 0.75, 1.0, 3.5, 3.3),
    first=(3.1, 3.2, 3.3, 0.9, 0.3),
    second=(2.6, 2.6, 2.3, 0.7, 0.9),
    noise=1e-3,
    share=0.4,
)
LIKELY_CURVES = (REAL_INKJET, SMOOTH_DRIVER, KINKED_DRIVER)


def correlation(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the Matérn 5/2 correlation (n, m) of placed points (n, k) and (m, k)."""
    squared = np.maximum((first**2).sum(axis=1)[:, None] + (second**2).sum(axis=1) - 2 * first @ second.T, 0)
    scaled = np.sqrt(5 * squared)
    result: FloatArray = (1 + scaled + 5 / 3 * squared) * np.exp(-scaled)
    return result
