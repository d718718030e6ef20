"""Where a colour of the source gamut goes in print under the saturation intent: as full of colour as the print can be.

For graphics: a full colour of the source goes to the fullest one that is printed with its hue, and what is paler keeps its
share. Black is scaled and greys are treated as under the perceptual intent (gamut_mapping.py).

With w the chroma over that of the source's fullest colour, its cusp, and g the source's largest chroma over the print's:
- chroma, as a share of the print's largest: w g, compressed to 1 at full where the source reaches farther (g above 1), else
  raised to 1 at full by w g (1 + (1 / g - 1) w²);
- lightness: that of the triangle from the neutral colour on the line from the source's cusp through the colour to the print's
  cusp, mixed with the colour's own by a smooth step of w.
What is then not printable goes towards mid grey to the surface. The numbers are ours: benchmarks/accuracy.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.boundary.radial import RadialBoundary
from spectro.boundary.straight_axis import smooth_step
from spectro.profile.gamut_mapping import GamutMapping, compress
from spectro.records.arrays import FloatArray, frozen_floats

GRAPHICS_SOURCE = "sRGB"  # what graphics come with; common practice, no source
_KNEE = 0.8  # share of the print's largest chroma up to which nothing is compressed
_TOWARDS = 0.7  # of the way from the lightness of the source's cusp to that of the print's
_REACH = 1.02  # of the surface and of its largest chroma: full colours end on the surface, whatever smoothing takes off it
_PRINT_BLUR, _SOURCE_BLUR = 2.0, 1.5  # degrees of hue over which cusps are smoothed: those of the source's cube stay sharper
_NEAR_FULL = 40.0  # how sharply the lightness of the cusp is that of the fullest colour


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cusps:
    """The fullest colour in every hue, evenly from 0: chroma and lightness (hues,) each."""

    chroma: FloatArray
    lightness: FloatArray

    def at(self, hue: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return chroma and lightness (n,) at hues (n,), radians."""
        place = (hue % (2 * np.pi)) / (2 * np.pi) * len(self.chroma)
        numbers = np.arange(len(self.chroma) + 1)
        chroma, lightness = (np.interp(place, numbers, np.append(row, row[0])) for row in (self.chroma, self.lightness))
        return chroma, lightness


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VividMapping:
    """The mapping of the saturation intent, over that of the perceptual one."""

    mapping: GamutMapping
    source: Cusps
    print: Cusps

    def mapped(self, lab: FloatArray) -> FloatArray:
        """Return where Lab (n, 3), media-relative, of the source goes: colours (n, 3) of the edge space."""
        points = self.mapping.scaled(lab)
        hue, chroma, lightness = np.arctan2(points[:, 2], points[:, 1]), np.hypot(points[:, 1], points[:, 2]), points[:, 0]
        source_chroma, source_lightness = self.source.at(hue)
        print_chroma, print_lightness = self.print.at(hue)
        full, ratio = np.minimum(chroma / source_chroma, 1), source_chroma / print_chroma
        compressed = compress(full * ratio, np.full(len(full), _KNEE), np.maximum(ratio, 1))
        raised = full * ratio * (1 + (1 / np.minimum(ratio, 1) - 1) * full**2)
        share = np.where(ratio >= 1, compressed, np.minimum(raised, 1))
        neutral = (lightness - full * source_lightness) / np.maximum(1 - full, 1e-6)
        neutral = np.clip(neutral, self.mapping.gamut.darkest, 100)
        mixed = smooth_step(full)
        level = (1 - mixed) * lightness + mixed * ((1 - share) * neutral + share * print_lightness)
        wide = share * print_chroma
        moved = np.column_stack([level, wide * np.cos(hue), wide * np.sin(hue)])
        return self.mapping.printed(self.mapping.gamut.straight.held(moved, _REACH))


def vivid_mapping(mapping: GamutMapping) -> VividMapping:
    """Return the mapping of the saturation intent from a source to a printer. mapping: the perceptual one of both."""
    printed = mapping.gamut.straight
    source = _cusps(mapping.source, len(printed.distances))
    fullest = _cusps(printed, len(printed.distances))
    lightness = source.lightness + _TOWARDS * (_blurred(fullest.lightness, _PRINT_BLUR) - source.lightness)
    chroma, level = _slices(printed)
    there = np.array(
        [np.interp(at, np.maximum.accumulate(row), full) for at, row, full in zip(lightness, level, chroma, strict=True)]
    )
    return VividMapping(
        mapping=mapping,
        source=Cusps(
            chroma=frozen_floats(_blurred(source.chroma, _SOURCE_BLUR)),
            lightness=frozen_floats(_blurred(source.lightness, _SOURCE_BLUR)),
        ),
        print=Cusps(
            chroma=frozen_floats(_REACH * np.maximum(_blurred(there, _PRINT_BLUR), there)),
            lightness=frozen_floats(_blurred(lightness, _PRINT_BLUR)),
        ),
    )


def _cusps(boundary: RadialBoundary, hues: int) -> Cusps:
    """Return the cusps of a boundary at a number of hues."""
    chroma, level = _slices(boundary)
    near = np.exp((chroma / chroma.max(axis=1, keepdims=True) - 1) * _NEAR_FULL)
    lightness = (near * level).sum(axis=1) / near.sum(axis=1)
    known = Cusps(chroma=chroma.max(axis=1), lightness=lightness)
    full, level = known.at(np.arange(hues) / hues * 2 * np.pi)
    return Cusps(chroma=full, lightness=level)


def _slices(boundary: RadialBoundary) -> tuple[FloatArray, FloatArray]:
    """Return chroma and lightness (hues, elevations) of a boundary's surface."""
    surface = boundary.surface()
    return np.hypot(surface[..., 1], surface[..., 2]), surface[..., 0]


def _blurred(values: FloatArray, degrees: float) -> FloatArray:
    """Return values (hues,), round, smoothed by a Gaussian of a standard deviation in degrees."""
    steps = np.arange(len(values))
    apart = np.minimum(steps, len(values) - steps) * 360 / len(values)
    weights = np.exp(-0.5 * (apart / degrees) ** 2)
    smooth: FloatArray = np.fft.irfft(np.fft.rfft(values) * np.fft.rfft(weights / weights.sum()), len(values))
    return smooth
