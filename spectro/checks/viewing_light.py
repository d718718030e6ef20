"""A viewing light, from its spectrum and the lux at the place, against ISO 3664.

Reference: [ISO-3664-2009], the edition of 2009; one of 2025 exists and was not at hand. The visible and ultraviolet
metamerism indices of the standard need its virtual samples, which were not at hand: they are not judged. Limits are those of
`standards/limits/viewing.toml`.
"""

from dataclasses import dataclass

import numpy as np

from spectro.checks.condition_match import relative_excitation
from spectro.checks.print_view import ILLUMINANCE, light_white
from spectro.colour.colour_rendering import GENERAL, colour_rendering
from spectro.colour.colour_temperature import colour_temperature
from spectro.colour.viewing import chromaticity_uv
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightMeasure

AIM_UV_10 = (0.2102, 0.4889)  # u', v' of D50, 10° observer, [ISO-3664-2009]


@dataclass(frozen=True, slots=True, kw_only=True)
class LightFindings:
    """What a viewing light is, and which limits it keeps."""

    kelvin: float  # NaN: none
    duv: float
    uv_10: tuple[float, float]  # u', v', 10° observer
    away: float  # distance from D50 in u'v', 10° observer
    nearest: str  # "P1" or "P2", the condition whose illuminance is nearest; "" where the lux is not known
    lux: float | None
    rendering: tuple[float, ...]  # R1 to R14; () where the light has none
    general: float  # Ra; NaN where there is none
    lowest: float  # of R1 to R8
    lowest_at: int  # its number, from 1
    excitation: float  # ultraviolet as a multiple of D50's
    kept: dict[LightMeasure, bool]  # what was judged


def judge_light(light: Light, lux: float | None, limits: Limits) -> LightFindings:
    """Return what a light is and which limits it keeps. lux: the illuminance at the place, where it is known.

    limits: those of viewing.
    """
    kelvin, duv = colour_temperature(light_white(light))
    uv = chromaticity_uv(light_white(light, 10))
    away = float(np.hypot(*(uv - np.array(AIM_UV_10))))
    kept = {LightMeasure.COLOUR: away <= limits["light_away"]}
    nearest = ""
    if lux is not None:
        nearest = min(ILLUMINANCE, key=lambda name: abs(np.log(ILLUMINANCE[name] / lux)))
        kept[LightMeasure.ILLUMINANCE] = abs(lux - ILLUMINANCE[nearest]) <= limits[f"{nearest.lower()}_tolerance"]
    rendering = colour_rendering(light) if np.isfinite(kelvin) else np.zeros(0)
    first = rendering[:GENERAL] if len(rendering) else np.full(1, np.nan)
    general, lowest = float(first.mean()), float(first.min())
    if len(rendering):
        kept[LightMeasure.RENDERING] = general >= limits["least_general_rendering"]
        kept[LightMeasure.SINGLE_COLOURS] = lowest >= limits["least_special_rendering"]
    return LightFindings(
        kelvin=kelvin,
        duv=duv,
        uv_10=(float(uv[0]), float(uv[1])),
        away=away,
        nearest=nearest,
        lux=lux,
        rendering=tuple(float(value) for value in rendering),
        general=general,
        lowest=lowest,
        lowest_at=int(np.argmin(first)) + 1,
        excitation=relative_excitation(light),
        kept=kept,
    )
