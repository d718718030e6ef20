"""The surface of a gamut as a distance from a point inside it, by direction."""

from dataclasses import dataclass

import numpy as np
from scipy import interpolate, ndimage

from spectro.records.arrays import FloatArray, frozen_floats

_HUES, _ELEVATIONS = 180, 91


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
        columns = (elevation / np.pi + 0.5) * (_ELEVATIONS - 1)
        wrapped = np.concatenate([self.distances, self.distances[:1]])
        found: FloatArray = ndimage.map_coordinates(wrapped, [rows, columns], order=1, mode="nearest")
        return found


def _directions(offsets: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    chroma = np.hypot(offsets[:, 1], offsets[:, 2])
    return np.arctan2(offsets[:, 2], offsets[:, 1]), np.arctan2(offsets[:, 0], chroma), np.hypot(chroma, offsets[:, 0])


def radial_boundary(surface: FloatArray, centre: FloatArray) -> RadialBoundary:
    """Return the boundary of a gamut from points (n, 3) dense on its surface, seen from centre (3,) on its neutral axis.

    Between the points the distance is linear in hue and elevation; the lightest and the darkest point stand for the poles.
    """
    hue, elevation, distance = _directions(surface - centre)
    top, bottom = int(np.argmax(surface[:, 0])), int(np.argmin(surface[:, 0]))
    poles_hue = np.linspace(-np.pi, 3 * np.pi, 73)
    points = [np.column_stack([hue + turn, elevation]) for turn in (-2 * np.pi, 0.0, 2 * np.pi)]
    values = [distance] * 3
    for row, pole in ((top, np.pi / 2), (bottom, -np.pi / 2)):
        points.append(np.column_stack([poles_hue, np.full(len(poles_hue), pole)]))
        values.append(np.full(len(poles_hue), abs(surface[row, 0] - centre[0])))
    joined = np.concatenate(points)
    near = (joined[:, 0] > -np.pi / 2) & (joined[:, 0] < 2.5 * np.pi)
    linear = interpolate.LinearNDInterpolator(joined[near], np.concatenate(values)[near])
    grid = np.meshgrid(np.arange(_HUES) / _HUES * 2 * np.pi, np.linspace(-np.pi / 2, np.pi / 2, _ELEVATIONS), indexing="ij")
    found = linear(np.column_stack([axis.ravel() for axis in grid])).reshape(_HUES, _ELEVATIONS)
    smooth = ndimage.gaussian_filter(found, sigma=1.0, mode=("wrap", "nearest"))
    return RadialBoundary(centre=frozen_floats(centre), distances=frozen_floats(smooth))
