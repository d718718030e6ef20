"""Correlated colour temperature and distance from the Planckian locus.

References: [CIE-15-2018] correlated colour temperature: the temperature whose Planckian radiator has the nearest
chromaticity in the diagram u', 2/3 v', for the 2° observer; [Ohno-2014] the signed distance Duv.
"""

import functools

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray, frozen_floats
from spectro.records.light import LAST_NM
from spectro.standards.tables import observer_table

LOWEST_K, HIGHEST_K = 1000.0, 25000.0
FARTHEST = 0.05  # Duv beyond which a colour temperature means nothing, [CIE-15-2018]
SECOND_CONSTANT = 1.4388e7  # nm K, second radiation constant of the scale of today
_STEP = 1.002  # ratio of neighbouring temperatures of the locus


@functools.cache
def _locus() -> tuple[FloatArray, FloatArray]:
    """Temperatures (n,) and u, v (n, 2) of the Planckian radiator, 2° observer, 360 to 780 nm as lights."""
    kelvin = LOWEST_K * _STEP ** np.arange(np.ceil(np.log(HIGHEST_K * 1.05 / LOWEST_K) / np.log(_STEP)))
    observer = observer_table(2)
    inside = observer.wavelengths <= LAST_NM
    nm = observer.wavelengths[inside]
    power = nm[:, None] ** -5.0 / np.expm1(SECOND_CONSTANT / (nm[:, None] * kelvin))
    power /= power.max(axis=0)
    return frozen_floats(kelvin), frozen_floats(chromaticity_1960(power.T @ observer.values[inside]))


def chromaticity_1960(xyz: FloatArray) -> FloatArray:
    """Return u, v (..., 2) of XYZ (..., 3), not all zero: the diagram of 1960, in which colour temperature is reckoned."""
    total = xyz @ np.array([1.0, 15.0, 3.0])
    return np.stack([4 * xyz[..., 0] / total, 6 * xyz[..., 1] / total], axis=-1)


def colour_temperature(xyz: ArrayLike) -> tuple[float, float]:
    """Return the correlated colour temperature in kelvin and Duv of XYZ (3,), 2° observer; Duv is above 0 on the green side.

    The temperature is NaN where the nearest is an end of 1000 to 25 000 K or Duv is beyond ±0.05: it means nothing there.
    Raises InputError for XYZ of zero.

    >>> kelvin, duv = colour_temperature([95.047, 100.0, 108.883])
    >>> round(kelvin), round(duv, 4)
    (6503, 0.0032)
    """
    values = np.asarray(xyz, dtype=np.float64)
    if values.min() < 0 or values.sum() <= 0:
        raise InputError("XYZ of zero or below", "a colour that is not black", "Leave it out.")
    kelvin, locus = _locus()
    point = chromaticity_1960(values)
    distance = np.hypot(*(locus - point).T)
    nearest = int(np.argmin(distance))
    if nearest in (0, len(kelvin) - 1):
        return float("nan"), float(distance[nearest])
    before, here, after = distance[nearest - 1 : nearest + 2] ** 2
    shift = 0.5 * (before - after) / (before - 2 * here + after)
    along = (locus[nearest + 1] - locus[nearest - 1]) / 2
    foot = locus[nearest] + shift * along + shift**2 / 2 * (locus[nearest + 1] - 2 * locus[nearest] + locus[nearest - 1])
    away = float(np.hypot(*(point - foot))) * (1.0 if point[1] > foot[1] else -1.0)
    temperature = float(kelvin[nearest] * _STEP**shift)
    return (temperature if abs(away) <= FARTHEST and LOWEST_K <= temperature <= HIGHEST_K else float("nan")), away
