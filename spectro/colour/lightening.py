"""Lightening of a picture for a dim place, as a curve over its numbers.

In dim light prints look darker and flatter than on a desk: photographers lighten them for a wall, midtones most, and leave
black and white where they are. The curve is a power over encoded numbers, which run about as lightness does: 1 at the light
of practical appraisal, less below. Common practice, no source: at 50 lx a middle grey is lifted by about L* 6, at 150 lx by 3.
"""

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import AnyArray

APPRAISAL_LUX = 500.0  # practical appraisal, [ISO-3664-2009] viewing condition P2
_SLOPE = 0.08
LEAST_LUX = 10.0


def lightening_power(lux: float) -> float:
    """Return the power of the curve for a place with so many lux, LEAST_LUX to APPRAISAL_LUX. Raises InputError outside.

    >>> round(lightening_power(50), 3), lightening_power(500)
    (0.832, 1.0)
    """
    if not LEAST_LUX <= lux <= APPRAISAL_LUX:
        raise InputError(
            f"{lux:g} lux in `wall_lux`", f"{LEAST_LUX:g} to {APPRAISAL_LUX:g}", "Measure it where the print hangs."
        )
    return float((lux / APPRAISAL_LUX) ** _SLOPE)


def lightened(numbers: AnyArray, lux: float, *, space: str = "rgb") -> AnyArray:
    """Return numbers (..., channels), uint8 or uint16, lightened: amounts of ink where space is "cmyk", L* alone for "lab"."""
    full = np.iinfo(numbers.dtype).max
    along = np.linspace(0, 1, full + 1)
    table = 1 - (1 - along) ** lightening_power(lux) if space == "cmyk" else along ** lightening_power(lux)
    whole = np.rint(table * full).astype(numbers.dtype)
    if space == "lab":
        found = numbers.copy()
        found[..., 0] = whole[numbers[..., 0]]
        return found
    return np.asarray(whole[numbers])
