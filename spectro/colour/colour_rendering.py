"""The general colour rendering index of a light.

Reference: [CIE-13.3-1995] test-colour method: samples under the light and under the reference light of the same colour
temperature, von Kries shift in c and d, differences in U*V*W*.
"""

import numpy as np

from spectro.colour.colour_temperature import SECOND_CONSTANT, chromaticity_1960, colour_temperature
from spectro.colour.daylight import daylight_power
from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.light import Light, light_wavelengths
from spectro.standards.tables import load_table, observer_table

GENERAL = 8  # samples that the general index is the mean of
_DAYLIGHT_FROM = 5000.0  # K; below it the reference is the Planckian radiator


def colour_rendering(light: Light) -> FloatArray:
    """Return R1 to R14 (14,) of a light; the general index Ra is the mean of the first eight.

    Raises InputError for a light without a colour temperature: the method says nothing of it.
    """
    nm = light_wavelengths()
    observer = observer_table(2)
    functions = observer.values[(observer.wavelengths >= nm[0]) & (observer.wavelengths <= nm[-1])]
    kelvin, _ = colour_temperature(light.power @ functions)
    if not np.isfinite(kelvin):
        raise InputError(f"the light {light.name}, too far from white", "a white light", "Leave colour rendering out.")
    reference = daylight_power(kelvin, nm) if kelvin >= _DAYLIGHT_FROM else _planckian(kelvin, nm)
    table = load_table("test_colour_samples.csv")
    samples = np.stack([np.interp(nm, table.wavelengths, column) for column in table.values.T])
    tested, uv_light = _seen(samples, light.power, functions)
    wanted, uv_reference = _seen(samples, reference, functions)
    shifted = _adapted(chromaticity_1960(tested), uv_light, uv_reference)
    difference = _uniform(shifted, tested[:, 1], uv_reference) - _uniform(chromaticity_1960(wanted), wanted[:, 1], uv_reference)
    return frozen_floats(100 - 4.6 * np.linalg.norm(difference, axis=1))


def _planckian(kelvin: float, nm: FloatArray) -> FloatArray:
    power = nm**-5.0 / np.expm1(SECOND_CONSTANT / (nm * kelvin))
    return np.asarray(power / power.max())


def _seen(samples: FloatArray, power: FloatArray, functions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """XYZ (n, 3) of samples under a light, Y = 100 for the perfect diffuser, and u, v (2,) of the light."""
    white = power @ functions
    return np.asarray(100 * (samples * power) @ functions / white[1]), chromaticity_1960(white)


def _adapted(uv: FloatArray, from_white: FloatArray, to_white: FloatArray) -> FloatArray:
    c, d = _cd(uv)
    (c_from, d_from), (c_to, d_to) = _cd(from_white), _cd(to_white)
    c, d = c * c_to / c_from, d * d_to / d_from
    divisor = 16.518 + 1.481 * c - d
    return np.stack([(10.872 + 0.404 * c - 4 * d) / divisor, 5.520 / divisor], axis=-1)


def _cd(uv: FloatArray) -> tuple[FloatArray, FloatArray]:
    u, v = uv[..., 0], uv[..., 1]
    return (4 - u - 10 * v) / v, (1.708 * v + 0.404 - 1.481 * u) / v


def _uniform(uv: FloatArray, y: FloatArray, white: FloatArray) -> FloatArray:
    """U*V*W* (n, 3) of u, v (n, 2) and Y (n,), Y = 100 for the perfect diffuser."""
    w = 25 * np.cbrt(y) - 17
    return np.column_stack([13 * w[:, None] * (uv - white), w])
