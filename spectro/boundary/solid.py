"""A gamut as a solid: which cells of Lab it fills, and how far it reaches in each lightness and hue.

The cells come from winding numbers of the surface in slices of equal lightness, so nothing is assumed of the gamut's
shape. A cell that the surface winds around more than once, or backwards where it is folded, is filled.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from spectro.boundary.cube_surface import bounding_cubes, cube_triangles
from spectro.records.arrays import BoolArray, FloatArray, IntArray, frozen_floats

STEP_L, STEP_AB = 1.0, 2.0  # sides of a cell
LIGHTNESS = frozen_floats(np.arange(0.5, 106.0, STEP_L))  # of the cells' middles; brightened paper lies above 100
CHROMATIC = frozen_floats(np.arange(-159.0, 160.0, STEP_AB))
HUES = frozen_floats(np.arange(0.0, 360.0, 5.0))  # degrees
_STEPS = 33  # points along an edge of the device cube
_STEPS_MANY = 17  # the same where there are eight cubes and more


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutSolid:
    """The colours a printing condition reaches, absolute Lab."""

    volume: float  # cubic Lab
    filled: BoolArray  # (lightness, a, b), cells at LIGHTNESS, CHROMATIC, CHROMATIC
    reach: FloatArray  # (lightness, hues), largest chroma at LIGHTNESS and HUES; 0 where nothing is reached
    rings: FloatArray  # (lightness, hues), the same measured from the straight line from black to white
    black: FloatArray  # (3,) ends of that line
    white: FloatArray


def gamut_solid(predict: Callable[[FloatArray], FloatArray], channels: int, black: FloatArray, white: FloatArray) -> GamutSolid:
    """Return the solid of a printing condition.

    predict: device values (n, channels), 0 to 1, to Lab (n, 3). black, white: (3,) Lab of the ends of the neutral axis.
    The volume of three channels is that of the surface, signed; of more channels that of the filled cells.
    Raises InputError for fewer than three channels and for more than five.
    """
    places = tuple(bounding_cubes(channels))
    points, triangles = cube_triangles(_STEPS if len(places) == 1 else _STEPS_MANY)
    filled = np.zeros((len(LIGHTNESS), len(CHROMATIC), len(CHROMATIC)), dtype=np.bool_)
    reach, rings = np.zeros((len(LIGHTNESS), len(HUES))), np.zeros((len(LIGHTNESS), len(HUES)))
    share = np.clip((LIGHTNESS - black[0]) / max(white[0] - black[0], 1e-9), 0, 1)
    axis = black[1:] + share[:, None] * (white - black)[1:]
    signed = 0.0
    for place in places:
        surface = predict(place(points))
        signed = surface_volume(surface, triangles)
        for index, (start, end) in enumerate(_slices(surface, triangles, LIGHTNESS)):
            if len(start):
                filled[index] |= _winding(start, end, CHROMATIC) != 0
                reach[index] = np.maximum(reach[index], _farthest(start, end, np.zeros(2)))
                rings[index] = np.maximum(rings[index], _farthest(start, end, axis[index]))
    volume = abs(signed) if len(places) == 1 else float(filled.sum()) * STEP_L * STEP_AB**2
    filled.setflags(write=False)
    return GamutSolid(
        volume=volume,
        filled=filled,
        reach=frozen_floats(reach),
        rings=frozen_floats(rings),
        black=frozen_floats(black),
        white=frozen_floats(white),
    )


def surface_volume(surface: FloatArray, triangles: IntArray) -> float:
    """Return the signed volume that triangles (m, 3) of points (n, 3) enclose, by the divergence theorem."""
    corners = surface[triangles]
    return float(np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))) / 6


def _slices(surface: FloatArray, triangles: IntArray, levels: FloatArray) -> Iterable[tuple[FloatArray, FloatArray]]:
    """Yield for each level the directed segments (m, 2) and (m, 2), a* and b*, in which the surface crosses it."""
    corners = surface[triangles]
    low, high = corners[..., 0].min(axis=1), corners[..., 0].max(axis=1)
    for level in levels:
        crossing = corners[(low <= level) & (high > level)]
        above = crossing[..., 0] > level
        ends = []
        for rising in (True, False):
            edge = (above != np.roll(above, -1, axis=1)) & (np.roll(above, -1, axis=1) == rising)
            rows, first = np.nonzero(edge)
            start, end = crossing[rows, first], crossing[rows, (first + 1) % 3]
            share = (level - start[:, 0]) / (end[:, 0] - start[:, 0])
            ends.append((start + share[:, None] * (end - start))[:, 1:])
        yield ends[0], ends[1]


def _winding(start: FloatArray, end: FloatArray, middles: FloatArray) -> IntArray:
    """Return winding numbers (a, b) of directed segments around the middles of cells."""
    up = (start[:, 1, None] <= middles) & (end[:, 1, None] > middles)
    down = (end[:, 1, None] <= middles) & (start[:, 1, None] > middles)
    segment, row = np.nonzero(up | down)
    sign = np.where(up[segment, row], 1, -1)
    share = (middles[row] - start[segment, 1]) / (end[segment, 1] - start[segment, 1])
    crossing = start[segment, 0] + share * (end[segment, 0] - start[segment, 0])
    steps = np.zeros((len(middles) + 1, len(middles)), dtype=np.int64)
    np.add.at(steps, (np.searchsorted(middles, crossing), row), sign)  # cells before the crossing see it to their right
    return np.asarray(np.cumsum(steps[::-1], axis=0)[::-1][1:])


def _farthest(start: FloatArray, end: FloatArray, centre: FloatArray) -> FloatArray:
    """Return for each hue the largest distance (hues,) from centre (2,) at which a ray meets a segment; 0 for none."""
    angle = np.radians(HUES)
    along = np.stack([np.cos(angle), np.sin(angle)], axis=1)  # (hues, 2)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    first, second = (start - centre) @ across.T, (end - centre) @ across.T  # (segments, hues)
    meets = (first <= 0) != (second <= 0)
    share = first / np.where(meets, first - second, 1.0)
    near, far = (start - centre) @ along.T, (end - centre) @ along.T
    distance = np.where(meets, near + share * (far - near), 0.0)
    return np.asarray(np.maximum(distance.max(axis=0, initial=0.0), 0.0))
