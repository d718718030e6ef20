"""Six invented inks: cyan, magenta and yellow, a light cyan and a light magenta, and black.

All constants are invented. They were chosen by eye so that solids, greys and gamut look like a photo printer's.
"""

from dataclasses import dataclass

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, keep_floats
from spectro.stand_in.bands import WAVELENGTHS, bump, edge

LIGHT_STRENGTH = 0.30  # invented: a light ink has this share of the density of its dark sister


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ink:
    """One ink as a clear, dye-like filter on the paper."""

    name: str
    density: FloatArray  # (36,), optical density a full layer adds to the reflectance of paper, both ways
    ultraviolet_density: float  # the same for the band that excites a paper's brightener

    def __post_init__(self) -> None:
        """Check the shape and keep a read-only copy."""
        keep_floats(self, "density")
        if self.density.shape != WAVELENGTHS.shape:
            raise ShapeError(f"density of ink {self.name} has shape {self.density.shape}; expected {WAVELENGTHS.shape}")


def scaled_ink(ink: Ink, factor: float, name: str | None = None) -> Ink:
    """Return the ink with all densities times factor (a thinner, thicker or diluted layer)."""
    return Ink(
        name=ink.name if name is None else name,
        density=factor * ink.density,
        ultraviolet_density=factor * ink.ultraviolet_density,
    )


def photo_inks() -> tuple[Ink, ...]:
    """Return the inks in the order of the driver's coverages: cyan, light cyan, magenta, light magenta, yellow, black.

    >>> [ink.name for ink in photo_inks()]
    ['cyan', 'light cyan', 'magenta', 'light magenta', 'yellow', 'black']
    """
    cyan = Ink(
        name="cyan",
        density=bump(650, 50, 1.30)
        + bump(612, 24, 0.45)
        + bump(705, 40, 0.50)
        + bump(560, 40, 0.10)
        + bump(375, 36, 0.24)
        + 0.02,
        ultraviolet_density=0.45,
    )
    magenta = Ink(
        name="magenta",
        density=bump(562, 20, 0.95) + bump(530, 27, 1.15) + bump(490, 40, 0.35) + bump(385, 40, 0.28) + 0.01,
        ultraviolet_density=0.50,
    )
    yellow = Ink(
        name="yellow",
        density=edge(493, 7.5, 1.20) + bump(435, 32, 0.45) + 0.01,
        ultraviolet_density=1.10,
    )
    black = Ink(
        name="black",
        density=np.full(WAVELENGTHS.shape, 1.75) + bump(560, 110, 0.12) + edge(430, 20, 0.08),
        ultraviolet_density=1.80,
    )
    return (
        cyan,
        scaled_ink(cyan, LIGHT_STRENGTH, "light cyan"),
        magenta,
        scaled_ink(magenta, LIGHT_STRENGTH, "light magenta"),
        yellow,
        black,
    )
