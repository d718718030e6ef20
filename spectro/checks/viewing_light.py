"""A viewing light, from its spectrum and the lux at the place, against ISO 3664.

Reference: [ISO-3664-2009], the edition of 2009; one of 2025 exists and was not at hand. Limits of illuminance and of colour
rendering are from memory. The visible and ultraviolet metamerism indices of the standard need its virtual samples, which
were not at hand: they are not judged.
"""

import numpy as np

from spectro.checks.condition_match import relative_excitation
from spectro.checks.print_view import ILLUMINANCE, light_white
from spectro.colour.colour_rendering import GENERAL, colour_rendering
from spectro.colour.colour_temperature import colour_temperature
from spectro.colour.viewing import chromaticity_uv
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, LightLimit

AIM_UV_10 = (0.2102, 0.4889)  # u', v' of D50, 10° observer, [ISO-3664-2009]
STANDARD = "ISO 3664:2009"
FROM_MEMORY = "ISO 3664:2009, from memory"


def check_viewing_light(light: Light, lux: float | None, limits: Limits) -> LightCheck:
    """Return what a light is and which limits it keeps. lux: the illuminance at the place, where it is known.

    limits: those of viewing.
    """
    kelvin, duv = colour_temperature(light_white(light))
    uv = chromaticity_uv(light_white(light, 10))
    away = float(np.hypot(*(uv - np.array(AIM_UV_10))))
    rendering = colour_rendering(light) if np.isfinite(kelvin) else np.zeros(0)
    excitation = relative_excitation(light)
    judged = [
        LightLimit(
            short="colour",
            what="colour: distance from D50 in u'v', 10° observer",
            found=f"{away:.4f}",
            limit=f"at most {limits['light_away']:g}",
            kept=away <= limits["light_away"],
            source=STANDARD,
        ),
        *_illuminance(lux, limits),
        *_rendering(rendering, limits),
        LightLimit(
            short="ultraviolet",
            what="ultraviolet, as a multiple of D50's",
            found=f"{excitation:.2f}",
            limit="1 would be D50; the standard's index was not computed",
            kept=None,
            source="no limit",
        ),
    ]
    return LightCheck(
        name=light.name,
        origin=light.origin,
        power=tuple(float(value) for value in light.power / light.power.max()),
        kelvin=kelvin,
        duv=duv,
        uv_10=(float(uv[0]), float(uv[1])),
        rendering=tuple(float(value) for value in rendering),
        excitation=excitation,
        limits=tuple(judged),
    )


def _illuminance(lux: float | None, limits: Limits) -> list[LightLimit]:
    if lux is None:
        return []
    nearest = min(ILLUMINANCE, key=lambda name: abs(np.log(ILLUMINANCE[name] / lux)))
    aim, tolerance = ILLUMINANCE[nearest], limits[f"{nearest.lower()}_tolerance"]
    return [
        LightLimit(
            short="illuminance",
            what=f"illuminance, nearest to {nearest}",
            found=f"{lux:.0f} lx",
            limit=f"{aim:.0f} ± {tolerance:.0f} lx",
            kept=abs(lux - aim) <= tolerance,
            source=f"{STANDARD}; the tolerance from memory",
        )
    ]


def _rendering(special: FloatArray, limits: Limits) -> list[LightLimit]:
    if not len(special):
        return []
    least_general, least_special = limits["least_general_rendering"], limits["least_special_rendering"]
    general, least = float(special[:GENERAL].mean()), float(special[:GENERAL].min())
    at = int(np.argmin(special[:GENERAL])) + 1
    return [
        LightLimit(
            short="colour rendering",
            what="general colour rendering index Ra",
            found=f"{general:.0f}",
            limit=f"{least_general:.0f} or more",
            kept=general >= least_general,
            source=FROM_MEMORY,
        ),
        LightLimit(
            short="rendering of single colours",
            what=f"lowest of R1 to R8 (R{at})",
            found=f"{least:.0f}",
            limit=f"{least_special:.0f} or more",
            kept=least >= least_special,
            source=FROM_MEMORY,
        ),
    ]
