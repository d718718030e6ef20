"""A printer's gamut as colours are moved into it: its surface by direction, and the same along a straight neutral axis."""

from dataclasses import dataclass

import numpy as np

from spectro.boundary.radial import RadialBoundary, radial_boundary
from spectro.boundary.straight_axis import StraightAxis
from spectro.colour.hue_straight import lab_to_edge_space
from spectro.profile.device_table import DeviceTable
from spectro.records.arrays import FloatArray, frozen_floats

_STEPS = 129  # points along an edge of the device cube
_HUES, _SMOOTHING = 360, 0.5  # ours, benchmarks/accuracy.md
_LEAST_WIDTH = 0.5  # L*
_ROUNDS = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PrintedGamut:
    """All of it in the space of `lab_to_edge_space`."""

    boundary: RadialBoundary
    straight: RadialBoundary  # as seen along the straight axis; at the bottom of the axis the darkest colour
    axis: StraightAxis
    darkest: float  # L*
    neutral_depth: float  # L* by which the darkest neutral colour lies above the darkest one; 0.5 at least


def printed_gamut(table: DeviceTable) -> PrintedGamut:
    """Return the gamut of a device table."""
    surface = lab_to_edge_space(table.evaluate(surface_points(_STEPS)))
    darkest = surface[surface[:, 0].argmin()]
    lightest = surface[:, 0].max()
    centre = np.array([(darkest[0] + lightest) / 2, 0.0, 0.0])
    boundary = radial_boundary(surface, centre, hues=_HUES, smoothing=_SMOOTHING)
    darkest_neutral = float(centre[0] - boundary.distances[:, 0].mean())
    depth = max(darkest_neutral - float(darkest[0]), _LEAST_WIDTH)
    axis = StraightAxis(darkest=float(darkest[0]), top=darkest_neutral + depth, tint=frozen_floats(darkest[1:]))
    boundary = boundary.with_poles(darkest_neutral, lightest)
    return PrintedGamut(
        boundary=boundary,
        straight=_straightened(boundary, axis).with_poles(float(darkest[0]), lightest),
        axis=axis,
        darkest=float(darkest[0]),
        neutral_depth=depth,
    )


def _straightened(boundary: RadialBoundary, axis: StraightAxis) -> RadialBoundary:
    """Return the boundary as seen along the straight axis: in each direction the distance whose bent point lies on it."""
    flat = boundary.surface().reshape(-1, 3)
    rows = np.flatnonzero(flat[:, 0] < axis.top + 1)  # the others stay
    ways = (flat[rows] - boundary.centre) / boundary.distances.reshape(-1, 1)[rows]
    distances = boundary.distances.ravel().copy()
    for _ in range(_ROUNDS):
        bent = axis.bent(boundary.centre + ways * distances[rows, None])
        distances[rows] -= boundary.beyond(bent)
    return RadialBoundary(centre=boundary.centre, distances=frozen_floats(distances.reshape(boundary.distances.shape)))


def surface_points(steps: int) -> FloatArray:
    """Return device values (6 * steps ** 2, 3) on the faces of the device cube."""
    first, second = (axis.ravel() for axis in np.meshgrid(*[np.linspace(0, 1, steps)] * 2, indexing="ij"))
    faces = []
    for axis in range(3):
        for level in (0.0, 1.0):
            faces.append(np.insert(np.column_stack([first, second]), axis, level, axis=1))
    return np.concatenate(faces)
