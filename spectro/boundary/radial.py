"""The surface of a gamut as a distance from a point inside it, by direction."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from spectro.records.arrays import FloatArray, frozen_floats

_HUES, _ELEVATIONS = 180, 91
_NEIGHBOURS = 6
_SMOOTHING = 4  # steps to either side
_SOFTENING = 0.005  # radians within which directions count as the same


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RadialBoundary:
    """Distances from `centre` to the surface, on an even grid of hue (0 to 360°) and elevation (-90 to 90°)."""

    centre: FloatArray  # (3,), lightness and two chromatic axes
    distances: FloatArray  # (hues, elevations)

    def directions(self, points: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return hue and elevation in radians and the distance, (n,) each, of points (n, 3) seen from the centre."""
        return _directions(points - self.centre)

    def distance(self, hue: FloatArray, elevation: FloatArray) -> FloatArray:
        """Return the distance to the surface (n,) in directions (n,), radians."""
        rows = (hue % (2 * np.pi)) / (2 * np.pi) * _HUES
        columns = np.clip((elevation / np.pi + 0.5) * (_ELEVATIONS - 1), 0, _ELEVATIONS - 1)
        row = np.minimum(rows.astype(np.int64), _HUES - 1)
        column = np.minimum(columns.astype(np.int64), _ELEVATIONS - 2)
        along, across = rows - row, columns - column
        following = (row + 1) % _HUES
        low = (1 - along) * self.distances[row, column] + along * self.distances[following, column]
        high = (1 - along) * self.distances[row, column + 1] + along * self.distances[following, column + 1]
        found: FloatArray = (1 - across) * low + across * high
        return found


def _directions(offsets: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    chroma = np.hypot(offsets[:, 1], offsets[:, 2])
    return np.arctan2(offsets[:, 2], offsets[:, 1]), np.arctan2(offsets[:, 0], chroma), np.hypot(chroma, offsets[:, 0])


def radial_boundary(surface: FloatArray, centre: FloatArray) -> RadialBoundary:
    """Return the boundary of a gamut from points (n, 3) dense on its surface, seen from centre (3,) on its neutral axis.

    The distance in a direction is the mean over the nearest few points, weighted by how near their directions are.
    """
    _, _, distance = _directions(surface - centre)
    seen = (surface - centre) / distance[:, None]
    hue, elevation = np.meshgrid(
        np.arange(_HUES) / _HUES * 2 * np.pi, np.linspace(-np.pi / 2, np.pi / 2, _ELEVATIONS), indexing="ij"
    )
    wanted = np.stack([np.sin(elevation), np.cos(elevation) * np.cos(hue), np.cos(elevation) * np.sin(hue)], axis=-1)
    apart, near = cKDTree(seen).query(wanted.reshape(-1, 3), k=_NEIGHBOURS)
    weights = 1 / (apart**2 + _SOFTENING**2)
    found = (weights * distance[near]).sum(axis=1) / weights.sum(axis=1)
    smooth = _smoothed(found.reshape(_HUES, _ELEVATIONS))
    return RadialBoundary(centre=frozen_floats(centre), distances=frozen_floats(smooth))


def _smoothed(values: FloatArray) -> FloatArray:
    """Return values (hues, elevations) smoothed by a Gaussian of one step, round in hue, with the ends kept in elevation."""
    weights = np.exp(-0.5 * np.arange(-_SMOOTHING, _SMOOTHING + 1) ** 2)
    weights /= weights.sum()
    for axis, mode in ((0, "wrap"), (1, "edge")):
        widths = [(_SMOOTHING, _SMOOTHING) if axis == one else (0, 0) for one in (0, 1)]
        wide = np.pad(values, widths, mode=mode)  # type: ignore[call-overload]
        length = values.shape[axis]
        values = sum(weight * wide.take(np.arange(k, k + length), axis) for k, weight in enumerate(weights.tolist()))
    return values
