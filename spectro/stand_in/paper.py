"""Papers with an optical brightener, and how strongly each measurement condition excites it.

What the reader sees of a print is light sent back by the surface, light that went through the ink twice, and light the
brightener emits: excited by ultraviolet that passed the ink once, and seen through the ink once. The form follows
[Hersch-2008] in simplified shape; all constants are invented.

References: [ISO-13655-2017] measurement conditions M0 to M3.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS, bump, edge

# Invented: ultraviolet a condition sends out, M1 = 1. M2 and M3 exclude it by definition.
EXCITATION = {
    MeasurementCondition.M0: 0.65,
    MeasurementCondition.M1: 1.0,
    MeasurementCondition.M2: 0.0,
    MeasurementCondition.M3: 0.0,
}
# Invented: share of the surface reflection that reaches the reader; polarisation (M3) takes nearly all of it away.
SURFACE_SEEN = {
    MeasurementCondition.M0: 1.0,
    MeasurementCondition.M1: 1.0,
    MeasurementCondition.M2: 1.0,
    MeasurementCondition.M3: 0.1,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Paper:
    """One paper and how it takes ink."""

    name: str
    base: FloatArray  # (36,), reflectance factor of the bare sheet without fluorescence, surface included
    emission: FloatArray  # (36,), what the bare sheet's brightener adds to the reflectance factor under M1
    surface: float  # reflectance factor of the surface above the ink: it sets the darkest black
    ink_strength: float  # density of the inks on this paper, 1 = as the inks state
    spread: float  # tone value increase this paper adds at half coverage, 0 to 1

    def __post_init__(self) -> None:
        """Check shapes and ranges, and keep read-only copies."""
        for name in ("base", "emission"):
            values = frozen_floats(getattr(self, name))
            if values.shape != WAVELENGTHS.shape:
                raise ShapeError(f"{name} of paper {self.name} has shape {values.shape}; expected {WAVELENGTHS.shape}")
            object.__setattr__(self, name, values)
        if not 0.0 <= self.surface < float(self.base.min()):
            raise InputError(f"surface {self.surface:g}", "less than the paper's base reflects", "Choose another.")
        if self.ink_strength <= 0.0:
            raise InputError(f"ink_strength {self.ink_strength:g}", "more than 0", "Choose another.")


def seen_reflectance(
    transmittance: FloatArray, ultraviolet: FloatArray, paper: Paper, condition: MeasurementCondition
) -> FloatArray:
    """Reflectance factor of paper under an ink layer, as a reader of one measurement condition sees it.

    transmittance: (..., 36), share of the light left after both ways through the ink, 0 to 1.
    ultraviolet: (...), the same in the band that excites the brightener, both ways.
    Returns (..., 36); above 1 is legal where the brightener emits.

    >>> bare = seen_reflectance(np.ones(36), np.ones(()), matte_paper(), MeasurementCondition.M1)
    >>> bool(bare[6] > 1)  # 440 nm
    True
    """
    inner = (paper.base - paper.surface) * transmittance
    emitted = paper.emission * (EXCITATION[condition] * np.sqrt(ultraviolet))[..., None] * np.sqrt(transmittance)
    return np.asarray(paper.surface * SURFACE_SEEN[condition] + inner + emitted, dtype=np.float64)


def matte_paper() -> Paper:
    """Return a bright matte paper: much brightener, a rough surface, a weak black. Invented."""
    return Paper(
        name="stand-in matte paper (invented)",
        base=np.full(WAVELENGTHS.shape, 0.905) - edge(402, 9, 0.17) - bump(600, 70, 0.009),
        emission=bump(438, 16, 0.125) + bump(464, 27, 0.070),
        surface=0.0165,
        ink_strength=0.96,
        spread=0.05,
    )


def glossy_paper() -> Paper:
    """Return a glossy paper: some brightener, a smooth surface, a deep black. Invented."""
    return Paper(
        name="stand-in glossy paper (invented)",
        base=np.full(WAVELENGTHS.shape, 0.89) - edge(410, 10, 0.15) - bump(600, 70, 0.012),
        emission=bump(440, 15, 0.060) + bump(464, 26, 0.030),
        surface=0.0035,
        ink_strength=1.36,
        spread=0.02,
    )
