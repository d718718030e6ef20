"""A light: its name and its relative spectral power."""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray, frozen_floats

FIRST_NM, LAST_NM = 360, 780  # the range of the tables of [ASTM-E308]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Light:
    """Relative spectral power from 360 to 780 nm in steps of 1 nm, and what reports call it.

    The scale of the power is free. A light is right once made: finite, nowhere negative, somewhere positive.
    """

    name: str  # "D50", "5500K", or the name of the file it was read from
    power: FloatArray  # (421,)
    origin: str = ""  # where it comes from, for reports: a standard's table, a formula, a file

    def __post_init__(self) -> None:
        """Check the power once and keep a read-only copy."""
        power = frozen_floats(self.power)
        if power.shape != (LAST_NM - FIRST_NM + 1,):
            raise ShapeError(f"the power of light {self.name} has shape {power.shape}; expected (421,), 360 to 780 nm")
        if not np.isfinite(power).all() or power.min() < 0 or power.max() <= 0:
            raise InputError(
                f"a spectrum of light {self.name} that is negative, not finite or all zero",
                "power of zero or more, somewhere above",
                "Measure the light again, or take dark noise off it.",
            )
        object.__setattr__(self, "power", power)


def light_wavelengths() -> FloatArray:
    """Return the wavelengths (421,) of a light's power, nm."""
    return np.arange(FIRST_NM, LAST_NM + 1, dtype=np.float64)
