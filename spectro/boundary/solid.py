"""A gamut as a solid: which cells of Lab it fills, and how far it reaches in each lightness and hue.

The cells come from winding numbers of the surface in slices of equal lightness, so nothing is assumed of the gamut's
shape. A cell that the surface winds around more than once, or backwards where it is folded, is filled.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from spectro.boundary.cube_surface import bounding_cubes, cube_triangles, outer_faces
from spectro.records.arrays import BoolArray, FloatArray, IntArray, frozen_floats

STEP_L, STEP_AB = 1.0, 2.0  # sides of a cell
LIGHTNESS = frozen_floats(np.arange(0.5, 106.0, STEP_L))  # of the cells' middles; brightened paper lies above 100
CHROMATIC = frozen_floats(np.arange(-159.0, 160.0, STEP_AB))
HUES = frozen_floats(np.arange(0.0, 360.0, 5.0))  # degrees
_STEPS = 33  # points along an edge of the device cube
_FACE_STEPS = 9  # the same of the faces that are drawn
_STEPS_MANY = 17  # the same where there are eight cubes and more


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GamutSolid:
    """The colours a printing condition reaches, absolute Lab."""

    volume: float  # cubic Lab
    filled: BoolArray  # (lightness, a, b), cells at LIGHTNESS, CHROMATIC, CHROMATIC
    reach: FloatArray  # (lightness, hues), largest chroma at LIGHTNESS and HUES; 0 where nothing is reached
    faces: FloatArray  # (faces, steps, steps, 3), Lab of what one sees of it from outside


def gamut_solid(predict: Callable[[FloatArray], FloatArray], channels: int) -> GamutSolid:
    """Return the solid of a printing condition.

    predict: device values (n, channels), 0 to 1, to Lab (n, 3).
    The volume of three channels is that of the surface, signed; of more channels that of the filled cells.
    Raises InputError for fewer than three channels and for more than four.
    """
    places = tuple(bounding_cubes(channels))
    points, triangles = cube_triangles(_STEPS if len(places) == 1 else _STEPS_MANY)
    surfaces = [predict(place(points)) for place in places]
    slices = [list(_slices(surface, triangles, LIGHTNESS)) for surface in surfaces]
    filled = np.zeros((len(LIGHTNESS), len(CHROMATIC), len(CHROMATIC)), dtype=np.bool_)
    reach = np.zeros((len(LIGHTNESS), len(HUES)))
    for index in range(len(LIGHTNESS)):
        crossing = [segments[index] for segments in slices if len(segments[index][0])]
        if not crossing:
            continue
        for start, end in crossing:
            filled[index] |= _winding(start, end, CHROMATIC) != 0
        reach[index] = np.max([_farthest(start, end) for start, end in crossing], axis=0)
    one = len(places) == 1
    seen = outer_faces(channels, _FACE_STEPS)
    volume = abs(surface_volume(surfaces[0], triangles)) if one else float(filled.sum()) * STEP_L * STEP_AB**2
    filled.setflags(write=False)
    return GamutSolid(
        volume=volume,
        filled=filled,
        reach=frozen_floats(reach),
        faces=frozen_floats(predict(seen.reshape(-1, channels)).reshape(*seen.shape[:3], 3)),
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


def _farthest(start: FloatArray, end: FloatArray) -> FloatArray:
    """Return for each hue the largest chroma (hues,) at which its ray meets a segment; 0 for none."""
    angle = np.radians(HUES)
    along = np.stack([np.cos(angle), np.sin(angle)], axis=1)  # (hues, 2)
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    first, second = start @ across.T, end @ across.T  # (segments, hues)
    meets = (first <= 0) != (second <= 0)
    share = first / np.where(meets, first - second, 1.0)
    near, far = start @ along.T, end @ along.T
    distance = np.where(meets, near + share * (far - near), 0.0)
    return np.asarray(np.maximum(distance.max(axis=0, initial=0.0), 0.0))
