"""The bare paper and its brightener, from readings under one measurement condition or more.

References: [FOGRA51], [FOGRA52] headers for "moderate" 8 to 14 and "high" above 14 of ΔB, brightness with less without
ultraviolet [ISO-15397]; [ISO-13655-2017] for a ΔB of 1 at most as "no fluorescence". From memory, not confirmed: "faint" to
4 and "low" to 8.
"""

from collections.abc import Sequence

from spectro.checks.condition_match import least_brightening, match_by_light, match_by_readings
from spectro.colour.brightener import under_light
from spectro.colour.density import density
from spectro.colour.difference import delta_e_2000
from spectro.colour.paper_measures import brightness_r457, yellowness_e313
from spectro.colour.tristimulus import spectra_to_lab, tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.colour.whiteness import cie_whiteness
from spectro.readings.paper_readings import ConditionReadings, paired_rows
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.paper_sheet import BrightenerFinding, LightMatch, PaperReading
from spectro.standards.limits import shipped_limits

_M0, _M1, _M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2


def brightener_level(delta_brightness: float, limits: Limits | None = None) -> str:
    """Return "none", "faint", "low", "moderate" or "high" for a difference of brightness, percentage points.

    limits: of papers, None for the shipped ones.

    >>> [brightener_level(value) for value in (0.5, 3, 6, 10, 15)]
    ['none', 'faint', 'low', 'moderate', 'high']
    """
    limits = limits or shipped_limits("paper")
    for word in ("none", "faint", "low", "moderate"):
        if delta_brightness <= limits[f"brightener_{word}"]:
            return word
    return "high"


def paper_reading(word: str, readings: int, reflectance: FloatArray, wavelengths: FloatArray) -> PaperReading:
    """Return what a spectrum (bands,) of bare paper says: colour, whiteness, brightness. readings: 0 for an estimate."""
    xyz = tristimulus(reflectance, tristimulus_weights(wavelengths, "D65", 10))
    white = cie_whiteness(xyz, 10)
    lightness, a, b = (float(value) for value in spectra_to_lab(reflectance, wavelengths))
    return PaperReading(
        condition=word,
        readings=readings,
        reflectance=reflectance,
        lab=(lightness, a, b),
        whiteness=white.whiteness,
        tint=white.tint,
        outside=white.outside,
        brightness=float(brightness_r457(reflectance, wavelengths)),
        yellowness=float(yellowness_e313(xyz, "D65", 10)),
        density=float(density(reflectance, wavelengths)[0]),
    )


def paper_brightener(
    found: Sequence[ConditionReadings], light: Light, limits: Limits
) -> tuple[BrightenerFinding, LightMatch, FloatArray | None]:
    """Return the brightener, the light's match, and the paper as D65 with its ultraviolet would show it."""
    by_condition = {one.condition: one for one in found}
    exciting = by_condition.get(_M1) or by_condition.get(_M0)
    without = by_condition.get(_M2)
    if exciting is None or exciting.condition is None or without is None:
        return _one_sided(found[0]), match_by_light(light), None
    with_uv, without_uv, paper = paired_rows(exciting, without)
    nm = exciting.wavelengths
    others = {}
    other = by_condition.get(_M0)
    if exciting.condition == _M1 and other is not None:
        values, reference, _ = paired_rows(other, without)
        if len(reference) == len(without_uv):
            others[_M0] = values
    match = match_by_readings(with_uv, without_uv, nm, exciting.condition, light, paper, others)
    lab_with, lab_without = spectra_to_lab(with_uv[paper], nm), spectra_to_lab(without_uv[paper], nm)
    delta_brightness = float(brightness_r457(with_uv[paper], nm) - brightness_r457(without_uv[paper], nm))
    brightener = BrightenerFinding(
        pair=f"{exciting.condition} and M2",
        delta_b=float(lab_with[2] - lab_without[2]),
        delta_e_2000=float(delta_e_2000(lab_with, lab_without)),
        delta_brightness=delta_brightness,
        level=brightener_level(delta_brightness, limits),
    )
    return brightener, match, under_light(with_uv[paper], without_uv[paper], nm, "D65", exciting.condition)


def _one_sided(main: ConditionReadings) -> BrightenerFinding:
    least = None
    if main.condition in (_M0, _M1, None):
        least = least_brightening(main.reflectance[main.paper], main.wavelengths)
    return BrightenerFinding(
        pair=f"{main.word} alone", delta_b=None, delta_e_2000=least, delta_brightness=None, level="not known"
    )
