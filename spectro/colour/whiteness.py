"""Whiteness and tint of paper.

References: [CIE-15-2004] whiteness W and tint T with their limits of validity; [ISO-11475] the same for paper under D65, 10°.
They are defined for D65 with its ultraviolet and a diffuse geometry. From 45°/0° readings made with another light they are
an estimate, and must be called one.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike

PERFECT_WHITE = {2: (0.3127, 0.3290), 10: (0.3138, 0.3310)}
"""x, y of the perfect diffuser under D65 that the formula uses, by observer."""
_TINT_SLOPE = {2: 1000.0, 10: 900.0}
LOWEST, TINT_FROM, TINT_TO = 40.0, -4.0, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Whiteness:
    """CIE whiteness and tint, and what the limits of the formula say against them."""

    whiteness: float  # the perfect diffuser has 100
    tint: float  # positive: greenish, negative: reddish
    outside: tuple[str, ...]  # a sentence for each limit that is not kept; then the numbers are not comparable

    @property
    def valid(self) -> bool:
        """Whether the formula holds for this colour."""
        return not self.outside


def cie_whiteness(xyz: ArrayLike, observer: int = 10, white: tuple[float, float] | None = None) -> Whiteness:
    """Return CIE whiteness and tint of XYZ (3,) under D65, Y = 100 for the perfect diffuser.

    white: x, y of the perfect diffuser; None: the published ones of the observer, 2 or 10.
    Limits: 40 < W < 5Y - 280 and -4 < T < 2. Raises InputError for another observer and for black.

    >>> result = cie_whiteness([84.5, 88.0, 103.0])
    >>> round(result.whiteness, 3), round(result.tint, 3), result.valid
    (113.355, -1.151, True)
    """
    if observer not in PERFECT_WHITE:
        raise InputError(f"observer {observer}", "2 or 10 (degrees)", "Choose one of the two CIE observers.")
    big_x, big_y, big_z = (float(value) for value in np.asarray(xyz, dtype=np.float64))
    total = big_x + big_y + big_z
    if not total > 0:
        raise InputError(f"XYZ {big_x:g} {big_y:g} {big_z:g}", "the colour of a paper", "Check which patch is the paper.")
    white_x, white_y = white or PERFECT_WHITE[observer]
    dx, dy = white_x - big_x / total, white_y - big_y / total
    whiteness = big_y + 800 * dx + 1700 * dy
    tint = _TINT_SLOPE[observer] * dx - 650 * dy
    outside = []
    highest = 5 * big_y - 280
    if not LOWEST < whiteness < highest:
        outside.append(f"whiteness {whiteness:.1f} is not between 40 and 5Y - 280 = {highest:.1f}")
    if not TINT_FROM < tint < TINT_TO:
        outside.append(f"tint {tint:.2f} is not between -4 and 2")
    return Whiteness(whiteness=whiteness, tint=tint, outside=tuple(outside))
