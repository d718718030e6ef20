"""The convex hull of a gamut in each hue, and the nearest point of it.

Going to the nearest point of a convex set never stretches a distance; the nearest point of a gamut itself jumps where the
gamut is hollow. A hull in each hue keeps the hue.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull

from spectro.boundary.radial import RadialBoundary
from spectro.records.arrays import BoolArray, FloatArray, IntArray, frozen_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HueHull:
    """Corners of the convex hull of every hue's slice: chroma and lightness, from the bottom of the neutral axis to its top."""

    corners: FloatArray  # (hues, corners, 2); the last one is repeated where a slice has fewer
    crossed: IntArray  # (hues, elevations), the edge that a ray from the centre crosses from that elevation to the next
    centre: float  # lightness, on the neutral axis

    def nearest(self, points: FloatArray) -> FloatArray:
        """Return the nearest points (n, 3) of the hull for lightness and two chromatic axes (n, 3); those inside stay.

        Between the hues at which the hull is known, the nearest points of both are mixed.
        """
        hues, elevations = self.crossed.shape
        hue = np.arctan2(points[:, 2], points[:, 1])
        place = np.column_stack([np.hypot(points[:, 1], points[:, 2]), points[:, 0]])
        elevation = np.arctan2(place[:, 1] - self.centre, place[:, 0]) / np.pi + 0.5
        step = np.clip((elevation * (elevations - 1)).astype(np.int64), 0, elevations - 1)
        rows = (hue % (2 * np.pi)) / (2 * np.pi) * hues
        row = np.minimum(rows.astype(np.int64), hues - 1)
        share = (rows - row)[:, None]
        first, second = (self._nearest_in(one, step, place) for one in (row, (row + 1) % hues))
        chroma, lightness = ((1 - share) * first + share * second).T
        return np.column_stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)])

    def _nearest_in(self, slices: IntArray, step: IntArray, place: FloatArray) -> FloatArray:
        """Return the nearest points (n, 2) of slices (n,).

        The edge crossed by the ray from the centre can be seen from the point. From there the distance falls along the edges
        that can be seen, up to the nearest point: it is found by ever smaller leaps that way.
        """
        edge = self.crossed[slices, step]
        outside, along = self._seen_from(slices, edge, place)
        found = place.copy()
        rows = np.flatnonzero(outside)
        slices, edge, place, along = slices[rows], edge[rows], place[rows], along[rows]
        way = np.where(along >= 1, 1, np.where(along <= 0, -1, 0))
        last = self.corners.shape[1] - 2
        leap = 1 << max(last.bit_length() - 1, 0)
        while leap:
            tried = np.clip(edge + way * leap, 0, last)
            seen, along = self._seen_from(slices, tried, place)
            passed = seen & np.where(way > 0, along >= 1, (along <= 0) & (way < 0))
            edge = np.where(passed, tried, edge)
            leap //= 2
        here, beside = (self._on_edge(slices, one, place) for one in (edge, np.clip(edge + way, 0, last)))
        farther = ((here - place) ** 2).sum(axis=1) > ((beside - place) ** 2).sum(axis=1)
        found[rows] = np.where(farther[:, None], beside, here)
        return found

    def _seen_from(self, slices: IntArray, edge: IntArray, place: FloatArray) -> tuple[BoolArray, FloatArray]:
        """Return whether edges can be seen from points, and where along them the points lie, 0 to 1 between the corners."""
        corner, ahead = self.corners[slices, edge], self.corners[slices, edge + 1]
        way, apart = (ahead - corner).T, (place - corner).T
        squared = np.maximum(way[0] ** 2 + way[1] ** 2, 1e-12)
        return way[0] * apart[1] - way[1] * apart[0] < 0, (way[0] * apart[0] + way[1] * apart[1]) / squared

    def _on_edge(self, slices: IntArray, edge: IntArray, place: FloatArray) -> FloatArray:
        _, along = self._seen_from(slices, edge, place)
        corner, ahead = self.corners[slices, edge], self.corners[slices, edge + 1]
        point: FloatArray = corner + (ahead - corner) * np.clip(along, 0, 1)[:, None]
        return point


def hue_hull(boundary: RadialBoundary) -> HueHull:
    """Return the hull of the slices of a boundary, at the hues at which its distances are known."""
    surface = boundary.surface()
    chroma, lightness = np.hypot(surface[..., 1], surface[..., 2]), surface[..., 0]
    chroma[:, [0, -1]] = 0.0
    last = surface.shape[1] - 1
    chosen = [np.sort(ConvexHull(np.column_stack(slice_)).vertices) for slice_ in zip(chroma, lightness, strict=True)]
    most = max(len(places) for places in chosen)
    corners, crossed = np.empty((len(chosen), most, 2)), np.empty(surface.shape[:2], dtype=np.int64)
    for hue, places in enumerate(chosen):
        repeated = np.concatenate([places, np.full(most - len(places), last)])
        corners[hue] = np.column_stack([chroma[hue, repeated], lightness[hue, repeated]])
        crossed[hue] = np.minimum(np.searchsorted(places, np.arange(last + 1), side="right") - 1, len(places) - 2)
    return HueHull(corners=frozen_floats(corners), crossed=crossed, centre=float(boundary.centre[0]))
