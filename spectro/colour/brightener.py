"""What an optical brightener adds, and what it would add under another light.

A reading with ultraviolet less a reading without is what the brightener sends out, seen in units of the light there. The
model: the brightener is excited by the power of the light from 360 to 400 nm and always sends out the same spectrum. So
its share of the radiance factor scales with that excitation and with the inverse of the light's own power where it shines:

    R(light) = R(M2) + [R(read) - R(M2)] · [U(light) / P(light)] / [U(instrument) / P(instrument)]

The form is that of two parts, reflected and sent out [Donaldson-1954]; one band of excitation is a simplification (common
practice, no source). Results are estimates. The instruments' lights are taken as their standard names them
[ISO-13655-2017]: M1 as D50, M0 as illuminant A, which M0 only comes near; M2 has no excitation.
"""

import numpy as np

from spectro.colour.lights import as_light
from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light, light_wavelengths

EXCITATION_NM = (360.0, 400.0)
NOMINAL_LIGHT = {MeasurementCondition.M0: "A", MeasurementCondition.M1: "D50"}


def excitation(light: str | Light, wavelengths: FloatArray) -> FloatArray:
    """Return mean power from 360 to 400 nm, over the power at each of wavelengths (bands,); 0 for a light without."""
    nm, power = light_wavelengths(), as_light(light).power
    exciting = power[(nm >= EXCITATION_NM[0]) & (nm <= EXCITATION_NM[1])].mean()
    at = np.interp(wavelengths, nm, power)
    return np.asarray(exciting / np.maximum(at, 1e-6 * power.max()))


def under_light(
    with_uv: FloatArray,
    without_uv: FloatArray,
    wavelengths: FloatArray,
    light: str | Light,
    condition: MeasurementCondition,
) -> FloatArray:
    """Return the estimated radiance factor (..., bands) under light, of readings with (M0 or M1) and without (M2) UV.

    Below 400 nm, where the light excites rather than shines, the reading without UV stands.
    Raises InputError for a condition other than M0 or M1.
    """
    if condition not in NOMINAL_LIGHT:
        raise InputError(f"{condition} as the reading with ultraviolet", "M0 or M1", "Give the reading made with UV.")
    if with_uv.shape != without_uv.shape or with_uv.shape[-1:] != wavelengths.shape:
        raise ShapeError(f"spectra of shapes {with_uv.shape} and {without_uv.shape}; expected (..., {len(wavelengths)}) twice")
    ratio = excitation(light, wavelengths) / excitation(NOMINAL_LIGHT[condition], wavelengths)
    glow = np.where(wavelengths >= EXCITATION_NM[1], with_uv - without_uv, 0.0)
    return np.asarray(without_uv + glow * ratio)
