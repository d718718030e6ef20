"""Which measurement condition a light is nearest to, and what profiling under another one costs.

References: [ISO-13655-2017] M0, M1, M2. The estimate of what a light does to a brightened paper is that of
spectro.colour.brightener.
"""

import numpy as np

from spectro.colour.brightener import NOMINAL_LIGHT, excitation, under_light
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.paper_sheet import ConditionError, LightMatch

M0, M1, M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2
_AT = np.array([440.0])  # nm, where brighteners shine most; common practice, no source


def relative_excitation(light: str | Light) -> float:
    """Return power from 360 to 400 nm over that at 440 nm, as a multiple of D50's."""
    return float(excitation(light, _AT)[0] / excitation("D50", _AT)[0])


def match_by_light(light: Light) -> LightMatch:
    """Return the match by the light's ultraviolet alone, where no pair of readings says what the paper does with it."""
    amount = relative_excitation(light)
    known = {M2: 0.0, M0: relative_excitation(NOMINAL_LIGHT[M0]), M1: 1.0}
    nearest = min(known, key=lambda condition: abs(known[condition] - amount))
    return LightMatch(
        light=light.name,
        excitation=amount,
        nearest=nearest,
        errors=(),
        basis="By the light's own ultraviolet (360 to 400 nm, against its power at 440 nm); "
        "what it does to this paper was not measured.",
    )


def match_by_readings(
    with_uv: FloatArray,
    without_uv: FloatArray,
    wavelengths: FloatArray,
    condition: MeasurementCondition,
    light: Light,
    paper: int,
    others: dict[MeasurementCondition, FloatArray],
) -> LightMatch:
    """Return the match by what the paper and the print are estimated to look like under the light.

    with_uv, without_uv: (n, bands) of the same recipes, read under condition (M0 or M1) and M2; paper: row of the paper.
    others: readings (n, bands) of further conditions; M0 and M1 that were not read are estimated.
    """
    seen = spectra_to_lab(under_light(with_uv, without_uv, wavelengths, light, condition), wavelengths, light)
    candidates = {condition: (with_uv, True), M2: (without_uv, True)}
    candidates |= {other: (values, True) for other, values in others.items() if other in (M0, M1)}
    for other, nominal in NOMINAL_LIGHT.items():
        if other not in candidates:
            candidates[other] = (under_light(with_uv, without_uv, wavelengths, nominal, condition), False)
    errors = []
    for other in sorted(candidates):
        values, measured = candidates[other]
        difference = delta_e_2000(seen, spectra_to_lab(values, wavelengths, light))
        errors.append(
            ConditionError(
                condition=other,
                measured=measured,
                paper=float(difference[paper]),
                mean=float(difference.mean()) if len(difference) > 1 else None,
                largest=float(difference.max()) if len(difference) > 1 else None,
            )
        )
    nearest = min(errors, key=lambda error: error.paper)
    return LightMatch(
        light=light.name,
        excitation=relative_excitation(light),
        nearest=nearest.condition,
        errors=tuple(errors),
        basis=f"Estimated from the readings {condition} and M2: what the brightener adds, scaled by the light's ultraviolet.",
    )


def least_brightening(reflectance: FloatArray, wavelengths: FloatArray) -> float:
    """Return the ΔE00 (D50, 2°) that a reading with ultraviolet owes to a brightener at the least, 0 where none shows.

    Paper without brightener reflects no more blue than green: what lies above its mean from 500 to 560 nm between 400 and
    500 nm is taken for emission (common practice, no source). The true amount is larger.
    """
    green = (wavelengths >= 500) & (wavelengths <= 560)
    blue = (wavelengths >= 400) & (wavelengths < 500)
    plain = np.where(blue, np.minimum(reflectance, reflectance[green].mean()), reflectance)
    return float(delta_e_2000(spectra_to_lab(reflectance, wavelengths), spectra_to_lab(plain, wavelengths)))
