"""Daylight of any correlated colour temperature.

Reference: [CIE-15-2018] D illuminants: chromaticity, M1 and M2, components S0, S1, S2.
"""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.standards.tables import load_table

LOWEST_K, HIGHEST_K = 4000.0, 25000.0
NOMINAL = 1.4388 / 1.4380  # D50 stands for 5000 K on the scale of 1931; today's is longer by this


def daylight_chromaticity(kelvin: float) -> tuple[float, float]:
    """Return x, y (2° observer) of daylight. Raises InputError outside 4000 to 25 000 K.

    >>> tuple(round(value, 5) for value in daylight_chromaticity(6504))
    (0.31271, 0.32912)
    """
    if not LOWEST_K <= kelvin <= HIGHEST_K:
        raise InputError(f"daylight of {kelvin:g} K", "4000 to 25000 K", "Name an illuminant or give the light's own spectrum.")
    if kelvin <= 7000:
        x = -4.6070e9 / kelvin**3 + 2.9678e6 / kelvin**2 + 0.09911e3 / kelvin + 0.244063
    else:
        x = -2.0064e9 / kelvin**3 + 1.9018e6 / kelvin**2 + 0.24748e3 / kelvin + 0.237040
    return x, -3 * x**2 + 2.87 * x - 0.275


def daylight_factors(x: float, y: float) -> tuple[float, float]:
    """Return M1 and M2 of a daylight chromaticity, rounded to three decimals, as the tables of CIE 15 were made.

    >>> daylight_factors(*daylight_chromaticity(7504))
    (0.145, -0.76)
    """
    divisor = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / divisor
    m2 = (0.0300 - 31.4424 * x + 30.0717 * y) / divisor
    return round(m1, 3), round(m2, 3)


def daylight_power(kelvin: float, wavelengths: FloatArray) -> FloatArray:
    """Return the relative power (m,) of daylight at wavelengths (m,), nm, 300 to 830; 100 at 560 nm.

    Linear interpolation between the 5 nm values of the components, end values held.
    """
    m1, m2 = daylight_factors(*daylight_chromaticity(kelvin))
    table = load_table("daylight_components.csv")
    values = table.values @ np.array([1.0, m1, m2])
    return np.asarray(np.maximum(np.interp(wavelengths, table.wavelengths, values), 0.0))
