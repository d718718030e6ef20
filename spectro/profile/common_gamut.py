"""The gamut that several printing conditions all hold, and a profile of a printer that would print just that.

The profile is of no printer that exists: its device values are RGB, its colours those of sRGB, each moved towards or away from
a middle grey by the ratio of the two gamuts in its direction. Hues of CIELAB and greys stay; white is the paper, black the
lightest of the blacks. A picture converted as such a printer prints it looks the same on every one of the printers.

Each printing condition is known by its profile alone, by what its colorimetric tables make of colours spread over CIELAB: what
comes back unchanged is held, what comes back far away has come to the surface. Limits on ink are kept, then, whatever the inks.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.boundary.radial import RadialBoundary, radial_boundary
from spectro.colour.difference import delta_e_2000
from spectro.colour.source_gamut import source_surface
from spectro.icc.evaluate import printed_lab
from spectro.icc.profile_file import IccProfile
from spectro.profile.printed_gamut import surface_points
from spectro.records.arrays import FloatArray, frozen_floats

LIGHTNESSES, CHROMATIC = 41, 52
"""Steps of the colours that are tried, along L* from 0 to 100 and along a* and b* from -128 to 127."""
CELL = 100 / (LIGHTNESSES - 1) * (255 / (CHROMATIC - 1)) ** 2  # cubic ΔE*ab
_FAR = 3.0  # ΔE00 from which a colour has been moved to the surface
_SHAPE = "sRGB"
_HUES, _SMOOTHING = 360, 1.0
_SURFACE_STEPS = 129


def tried_colours() -> FloatArray:
    """Return Lab (n, 3) spread evenly over what a profile's tables can hold."""
    axes = np.linspace(0, 100, LIGHTNESSES), np.linspace(-128, 127, CHROMATIC), np.linspace(-128, 127, CHROMATIC)
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintedColours:
    """What a profile makes of `tried_colours`."""

    lab: FloatArray  # (n, 3)
    moved: FloatArray  # (n,) ΔE00
    darkest: float  # L* of black

    @property
    def surface(self) -> FloatArray:
        """Lab (m, 3) on the surface of what is printed."""
        return self.lab[self.moved > _FAR]


def try_colours(profile: IccProfile, tried: FloatArray) -> PrintedColours:
    """Return what a profile prints of colours (n, 3). Raises TagError where it is no output profile with tables both ways."""
    lab = printed_lab(profile, tried)
    black = float(printed_lab(profile, np.zeros((1, 3)))[0, 0])
    return PrintedColours(lab=frozen_floats(lab), moved=frozen_floats(delta_e_2000(tried, lab)), darkest=black)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CommonPrinter:
    """A printer that holds what all of several hold."""

    boundary: RadialBoundary
    shape: RadialBoundary  # of the colours whose places its device values take

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3), relative to the paper, of device values (n, 3), 0 to 1."""
        lab = source_surface(_SHAPE, device)
        hue, elevation, _ = self.shape.directions(lab)
        ratio = self.boundary.distance(hue, elevation) / self.shape.distance(hue, elevation)
        moved: FloatArray = self.boundary.centre + (lab - self.boundary.centre) * ratio[:, None]
        return moved

    def holds(self, lab: FloatArray) -> FloatArray:
        """Return how far Lab (n, 3) lies outside (n,), seen from the middle; below 0 inside."""
        return self.boundary.beyond(lab)


def common_printer(prints: Sequence[PrintedColours]) -> CommonPrinter:
    """Return the printer of the colours that all hold: in each direction from a middle grey the nearest of their surfaces."""
    darkest = max(one.darkest for one in prints)
    centre = np.array([(darkest + 100) / 2, 0.0, 0.0])
    surfaces = [radial_boundary(one.surface, centre, hues=_HUES, smoothing=_SMOOTHING) for one in prints]
    nearest = np.min([one.distances for one in surfaces], axis=0)
    boundary = RadialBoundary(centre=frozen_floats(centre), distances=frozen_floats(nearest)).with_poles(darkest, 100.0)
    shape = radial_boundary(source_surface(_SHAPE, surface_points(_SURFACE_STEPS)), centre, hues=_HUES, smoothing=_SMOOTHING)
    return CommonPrinter(boundary=boundary, shape=shape.with_poles(0.0, 100.0))
