"""The gamut of inks within their limits: its surface by direction, and where colours outside it go.

The surface of what inks print within a total limit are the images of its faces: two inks vary and the others are at an end,
or three vary with their total at the limit. Of all these points the outermost in each direction count. Black lies at the
darkest *neutral* colour: the darkest one of all can be strongly tinted.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from spectro.boundary.hue_hull import hue_hull
from spectro.boundary.radial import radial_boundary
from spectro.boundary.straight_axis import StraightAxis
from spectro.colour.hue_straight import edge_space_to_lab, lab_to_edge_space
from spectro.profile.near_black import NearBlack, near_black
from spectro.profile.outside_rule import ROOM, SurfaceRule
from spectro.profile.printed_gamut import PrintedGamut
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.separation.ink_limits import InkLimits
from spectro.separation.separate import Separation

INSIDE = 0.1  # Lab distance left by a separation up to which a colour counts as inside
HUE_WEIGHT = 2.5  # what a difference of hue counts where a colour cannot be reached
_SURELY = 8.0  # distance beyond the smoothed surface from which none is looked for inside
_FACE_POINTS = 240_000
_HUES, _SMOOTHING = 360, 0.5  # as for RGB
_CELL = 2  # degrees, within which the outermost points count
_OUTERMOST = 0.985  # of the largest distance of a cell, from which points count
_AROUND, _NEARLY = 9, 0.85  # cells around, and the share of their largest distance
_MISSED = 0.3  # Lab distance to a point of the surface from which inks are looked for again
_NEAR_MISS = 1.0  # distance outside up to which a colour that was not reached is tried again
_LEAST_WIDTH = 0.5  # L*
_LEVELS, _LEVEL, _FROM = 1200, 0.05, 60  # greys looked at, their step in L*, and how many steps lighter the way to black begins


def face_points(limits: InkLimits, count: int, random: np.random.Generator) -> FloatArray:
    """Return device values (n, c), up to count, on the faces of what the limits allow: see the head of this file."""
    inks = len(limits.ceilings)
    device = np.round(random.random((count, inks))) * limits.ceilings
    order = np.argsort(random.random((count, inks)), axis=1)
    rows = np.arange(count)
    for place in range(2):  # denser towards the ends: edges stand out farthest
        device[rows, order[:, place]] = np.sin(random.random(count) * np.pi / 2) ** 2 * limits.ceilings[order[:, place]]
    third = order[:, 2]
    tight = np.arange(count) % 3 == 0  # a third of them at the total limit
    rest = limits.total - np.where(tight, device.sum(axis=1) - device[rows, third], 0)
    device[rows[tight], third[tight]] = rest[tight]
    fits = (device >= 0).all(axis=1) & (device <= limits.ceilings + 1e-9).all(axis=1)
    kept: FloatArray = device[fits & (device.sum(axis=1) <= limits.total + 1e-9)]
    return kept


_RUNS, _RUNS_AT_MOST = 0.05, 0.25  # of an ink: by how much inks that were looked for alone change a level; any, at once


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DarkestNeutral:
    """The black of inks within their limits."""

    lightness: float  # L*, media-relative
    inks: FloatArray  # (c,)


def darkest_neutral_ink(separation: Separation) -> DarkestNeutral:
    """Return the darkest neutral colour that can be printed within the limits, to 0.05 L*.

    It is looked for on from lighter greys, so that its inks are those into which theirs run: near black, quite other inks may
    print nearly the same. Steps from lighter inks may come to rest short of a grey that can be printed, where total limit and
    black meet; its inks, looked for without them, then count if they run on.
    """
    lowest = float(separation.cloud_lab[:, 0].min())
    lab = np.zeros((_LEVELS, 3))
    lab[:, 0] = lowest + _LEVEL * np.arange(len(lab))
    inks, left = separation.inks_of(lab)
    reached = np.flatnonzero(left < INSIDE / 2)
    if not len(reached):
        darkest = int(separation.cloud_lab[:, 0].argmin())
        return DarkestNeutral(lightness=lowest, inks=frozen_floats(separation.cloud[darkest]))
    lighter = min(reached[0] + _FROM, len(lab) - 1)
    levels = np.arange(max(reached[0] - _FROM // 4, 0), lighter)
    on, rest = separation.inks_near(lab[levels], np.repeat(inks[lighter][None], len(levels), axis=0))
    found, place = inks[lighter], lighter
    for level in levels[::-1]:
        steps = on[level - levels[0]], rest[level - levels[0]], _RUNS_AT_MOST
        alone = inks[level], left[level], min(_RUNS * (place - level), _RUNS_AT_MOST)
        for way, far, most in (steps, alone):
            if far < INSIDE / 2 and np.abs(way - found).max() <= most:
                found, place = way, level
                break
    if place == lighter:  # nothing runs on
        return DarkestNeutral(lightness=float(lab[reached[0], 0]), inks=frozen_floats(inks[reached[0]]))
    return DarkestNeutral(lightness=float(lab[place, 0]), inks=frozen_floats(found))


def ink_gamut(separation: Separation, neutral: DarkestNeutral) -> PrintedGamut:
    """Return the gamut of a separation's inks within its limits. neutral: its black."""
    device = face_points(separation.colour_limits, _FACE_POINTS, np.random.default_rng(21))
    lab = separation.colours(device)
    surface = lab_to_edge_space(lab)
    black = neutral.lightness
    lightest = float(surface[:, 0].max())
    centre = np.array([(black + lightest) / 2, 0.0, 0.0])
    boundary = radial_boundary(_outermost(surface, centre), centre, hues=_HUES, smoothing=_SMOOTHING)
    boundary = boundary.with_poles(black, lightest)
    depth = max(black - float(lab[:, 0].min()), _LEAST_WIDTH)
    return PrintedGamut(
        boundary=boundary,
        straight=boundary,
        axis=StraightAxis(darkest=black, top=black + depth, tint=frozen_floats(np.zeros(2))),
        darkest=black,
        neutral_depth=depth,
    )


def _outermost(points: FloatArray, centre: FloatArray) -> FloatArray:
    """Return those of points (n, 3) that lie outermost, seen from centre, in cells of a few degrees."""
    away = points - centre
    distance = np.linalg.norm(away, axis=1)
    hue = np.degrees(np.arctan2(away[:, 2], away[:, 1])) % 360
    elevation = np.degrees(np.arcsin(np.clip(away[:, 0] / np.maximum(distance, 1e-9), -1, 1))) + 90
    row = np.minimum((elevation / _CELL).astype(np.int64), 180 // _CELL - 1)
    wide = np.maximum(np.round(360 / _CELL * np.sin(np.radians((row + 0.5) * _CELL))), 6).astype(np.int64)  # cells of a row
    _, cell = np.unique(row * (360 // _CELL) + (hue / 360 * wide).astype(np.int64), return_inverse=True)
    cell = cell.ravel()
    largest, middles = np.zeros(cell.max() + 1), np.zeros((cell.max() + 1, 3))
    np.maximum.at(largest, cell, distance)
    np.add.at(middles, cell, away / distance[:, None])
    middles /= np.linalg.norm(middles, axis=1, keepdims=True)
    _, around = cKDTree(middles).query(middles, k=min(_AROUND, len(middles)))
    nearby = largest[around].max(axis=1)  # a cell may hold no outermost point at all
    kept: FloatArray = points[(distance >= _OUTERMOST * largest[cell]) & (distance >= _NEARLY * nearby[cell])]
    return kept


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkRule(SurfaceRule):
    """Which inks print colours inside and outside the gamut."""

    separation: Separation
    black: FloatArray  # (c,), inks of the darkest neutral colour
    near_black: NearBlack

    def goal(self, points: FloatArray) -> FloatArray:
        """Return the printable points (n, 3) for points outside (n, 3), both in the edge space; near black a little lighter."""
        goals = SurfaceRule.goal(self, points)  # a class with slots is made anew: super() would not find it
        goals[:, 0] += self.near_black.lifted(goals, points[:, 0])
        return goals

    def device(self, lab: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return inks (n, c) for Lab (n, 3), and how far outside they lie (n,), in Lab; up to `INSIDE` counts as none."""
        points = lab_to_edge_space(np.clip(lab, *ROOM))
        left = self.gamut.boundary.beyond(points)
        device = np.zeros((len(lab), self.separation.inks))
        near, tried = np.flatnonzero(left < _SURELY), left.copy()
        device[near], left[near] = self.separation.inks_of(lab[near], HUE_WEIGHT, again=False)
        missed = np.flatnonzero((left > INSIDE) & (tried < _NEAR_MISS))
        device[missed], left[missed] = self.separation.inks_of(lab[missed], HUE_WEIGHT)
        outside = np.flatnonzero(left > INSIDE)
        device[outside] = self.sent(self.goal(points[outside]))
        return device, left

    def sent(self, points: FloatArray) -> FloatArray:
        """Return inks (n, c) that print points (n, 3) of the edge space, or what comes nearest."""
        lab = edge_space_to_lab(points)
        device, dark = np.empty((len(lab), self.separation.inks)), self.near_black.holds(lab)
        for rows, sent in ((dark, self._sent_near_black), (~dark, self._sent_elsewhere)):
            if rows.any():
                device[rows] = sent(lab[rows])
        return device

    def _sent_near_black(self, lab: FloatArray) -> FloatArray:
        return self.separation.with_lights(lab, self.near_black.inks(lab, HUE_WEIGHT), HUE_WEIGHT)

    def _sent_elsewhere(self, lab: FloatArray) -> FloatArray:
        device, left = self.separation.inks_of(lab, HUE_WEIGHT, again=False)
        missed = np.flatnonzero(left > _MISSED)
        device[missed] = self.separation.inks_of(lab[missed], HUE_WEIGHT)[0]
        return device


def ink_rule(separation: Separation, gamut: PrintedGamut, neutral: DarkestNeutral) -> InkRule:
    """Return the rule for a separation, its gamut and its black."""
    around = near_black(separation, gamut.darkest, HUE_WEIGHT)
    return InkRule(gamut=gamut, hull=hue_hull(gamut.straight), separation=separation, black=neutral.inks, near_black=around)
