"""The surface of a gamut as a distance from a point inside it, by direction."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from spectro.records.arrays import FloatArray, frozen_floats

_NEIGHBOURS = 6
_SMOOTHING = 4  # standard deviations to either side
_SOFTENING = 0.005  # radians within which directions count as the same


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RadialBoundary:
    """Distances from `centre` to the surface, on an even grid of hue (0 to 360°) and elevation (-90 to 90°)."""

    centre: FloatArray  # (3,), lightness and two chromatic axes
    distances: FloatArray  # (hues, elevations), from straight down, -90°, to straight up

    def directions(self, points: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return hue and elevation in radians and the distance, (n,) each, of points (n, 3) seen from the centre."""
        return _directions(points - self.centre)

    def distance(self, hue: FloatArray, elevation: FloatArray) -> FloatArray:
        """Return the distance to the surface (n,) in directions (n,), radians."""
        hues, elevations = self.distances.shape
        rows = (hue % (2 * np.pi)) / (2 * np.pi) * hues
        columns = np.clip((elevation / np.pi + 0.5) * (elevations - 1), 0, elevations - 1)
        row = np.minimum(rows.astype(np.int64), hues - 1)
        column = np.minimum(columns.astype(np.int64), elevations - 2)
        along, across = rows - row, columns - column
        following = (row + 1) % hues
        low = (1 - along) * self.distances[row, column] + along * self.distances[following, column]
        high = (1 - along) * self.distances[row, column + 1] + along * self.distances[following, column + 1]
        found: FloatArray = (1 - across) * low + across * high
        return found

    def beyond(self, points: FloatArray) -> FloatArray:
        """Return how far points (n, 3) lie outside the surface (n,), seen from the centre; below 0 inside."""
        hue, elevation, distance = self.directions(points)
        return distance - self.distance(hue, elevation)

    def held(self, points: FloatArray, reach: float = 1.0) -> FloatArray:
        """Return points (n, 3), those farther out than reach times the surface moved there, straight towards the centre."""
        hue, elevation, distance = self.directions(points)
        share = np.minimum(reach * self.distance(hue, elevation) / np.maximum(distance, 1e-9), 1.0)
        found: FloatArray = self.centre + (points - self.centre) * share[:, None]
        return found

    def with_poles(self, darkest: float, lightest: float) -> "RadialBoundary":
        """Return the boundary with the lightness of the ends of its neutral axis exactly as given."""
        distances = self.distances.copy()
        distances[:, 0], distances[:, -1] = self.centre[0] - darkest, lightest - self.centre[0]
        return replace(self, distances=frozen_floats(distances))

    def surface(self) -> FloatArray:
        """Return the points (hues, elevations, 3) of the surface that the distances belong to."""
        points: FloatArray = self.centre + even_directions(*self.distances.shape) * self.distances[..., None]
        return points


def even_directions(hues: int, elevations: int) -> FloatArray:
    """Return unit vectors (hues, elevations, 3), lightness first: hue from 0, elevation from -90° to 90°."""
    hue, elevation = np.meshgrid(
        np.arange(hues) / hues * 2 * np.pi, np.linspace(-np.pi / 2, np.pi / 2, elevations), indexing="ij"
    )
    ways: FloatArray = np.stack([np.sin(elevation), np.cos(elevation) * np.cos(hue), np.cos(elevation) * np.sin(hue)], axis=-1)
    return ways


def _directions(offsets: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    chroma = np.hypot(offsets[:, 1], offsets[:, 2])
    return np.arctan2(offsets[:, 2], offsets[:, 1]), np.arctan2(offsets[:, 0], chroma), np.hypot(chroma, offsets[:, 0])


def radial_boundary(surface: FloatArray, centre: FloatArray, *, hues: int = 180, smoothing: float = 1.0) -> RadialBoundary:
    """Return the boundary of a gamut from points (n, 3) dense on its surface, seen from centre (3,) on its neutral axis.

    The distance in a direction is the mean over the nearest few points, weighted by how near their directions are.
    hues: even; elevations are as many degrees apart. smoothing: standard deviation, in steps, of a Gaussian over directions.
    """
    _, _, distance = _directions(surface - centre)
    seen = (surface - centre) / distance[:, None]
    elevations = hues // 2 + 1
    wanted = even_directions(hues, elevations)
    apart, near = cKDTree(seen, balanced_tree=False, compact_nodes=False).query(wanted.reshape(-1, 3), k=_NEIGHBOURS)
    weights = 1 / (apart**2 + _SOFTENING**2)
    found = (weights * distance[near]).sum(axis=1) / weights.sum(axis=1)
    smooth = _smoothed(found.reshape(hues, elevations), smoothing)
    return RadialBoundary(centre=frozen_floats(centre), distances=frozen_floats(smooth))


def _smoothed(values: FloatArray, deviation: float) -> FloatArray:
    """Return values (hues, elevations) smoothed by a Gaussian, round in hue, with the ends kept in elevation."""
    reach = int(np.ceil(_SMOOTHING * deviation))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / deviation) ** 2)
    weights /= weights.sum()
    for axis, mode in ((0, "wrap"), (1, "edge")):
        widths = [(reach, reach) if axis == one else (0, 0) for one in (0, 1)]
        wide = np.pad(values, widths, mode=mode)  # type: ignore[call-overload]
        length = values.shape[axis]
        values = sum(weight * wide.take(np.arange(k, k + length), axis) for k, weight in enumerate(weights.tolist()))
    return values
