"""The three tables from the PCS to inks: what is asked of them where, for a separation within its limits."""

from dataclasses import dataclass

import numpy as np

from spectro.colour.hue_straight import edge_space_to_lab
from spectro.profile.compression import Mapping
from spectro.profile.fit_points import cells_held, dark_and_pale_colours, dark_rays, widened
from spectro.profile.ink_fit import InkFitSettings, InkPoints, fit_ink_table, ink_points
from spectro.profile.ink_gamut import INSIDE, InkRule
from spectro.profile.spacing import LabSpacing, lab_spacing
from spectro.records.arrays import FloatArray
from spectro.separation.ink_limits import drawn_within
from spectro.separation.separate import Separation


@dataclass(frozen=True, slots=True, kw_only=True)
class InkPointSettings:
    """How many points of each family, and what they count; a point inside counts 1. Ours, benchmarks/inks.md."""

    filling: int = 90_000
    darkened: float = 0.25  # share of them drawn towards full inks: dark colours fill many cells and few of the points
    at_end: float = 0.3  # share of them with an ink at an end: the surface is where tables are worst
    reached: float = 0.05  # Lab distance left up to which a colour counts as separated
    greys: int = 4000
    near_greys: int = 2000
    grey_chroma: float = 3.0
    grey_weight: float = 4.0  # greys show the smallest tint
    edges: int = 6000  # on edges of the gamut
    corners: int = 40  # times that every corner counts
    edge_weight: float = 1.0
    shadow: int = 3000  # greys too dark to be printed
    shadow_weight: float = 0.3
    of_source: int = 7_000  # of each source of pictures, outside
    dark_of_source: int = 12_000
    at_surface: int = 4  # points in every cell at the surface
    outside_weight: float = 0.1
    outside_steady: float = 3e-3
    outside_tolerated: float = 0.0  # ΔE00
    outside_lightness: float = 1.5  # what a difference of lightness counts there, one of chroma 1
    outside_hue: float = 2.0  # the same of hue
    near_black: int = 12_000  # on ways from black, outside
    near_black_reach: float = 12.0  # L* of them at most, of colours outside
    near_black_darker: float = 0.8  # share of the darkest neutral's L* that they keep below
    near_black_weight: float = 1.0
    near_black_lightness: float = 3.0  # what a difference of lightness counts there: lightness must not fall
    near_black_hue: float = 1.0
    mapped_of_source: int = 9_000  # of a mapped table, of each source
    mapped_dark: int = 9_000
    mapped_greys: int = 2001
    mapped_grey_weight: float = 40.0


_ON_AXIS = 1e-6
_DARK_CELL = 7.0  # L* of a cell darker than the gamut: what is too dark bends into black, and tables are straight in cells
_CELL, _GROWTH, _USUAL_GRID = 17.0, 1.4, 37  # Lab units beyond the gamut's end along a* or b* that a cell takes of so many
_ADDED, _ADDED_FOR_MANY = 8, 3  # one node is added for so many, for colours outside; of more inks than four
_FEW_INKS = 4
_EVEN = 1.2207440846057596 ** -np.arange(1.0, 4.0)  # by the root of x ** 4 = x + 1: steps that fill a cube evenly
_MAPPED = InkFitSettings(passes=2, roughness=3e-3)


def ink_spacing(separation: Separation, grid: int, black: float) -> LabSpacing:
    """Return the spacing of the colorimetric table. black: L* of the darkest neutral colour, which becomes a node.

    grid: as many nodes as other tables have along an axis; this one has an eighth more, for the cells beyond the gamut, and of
    more inks than four a third more: their gamut has more corners, which a table cuts off within a cell.
    """
    nodes = grid + grid // (_ADDED if separation.inks <= _FEW_INKS else _ADDED_FOR_MANY)
    too_dark = int(np.clip(round(black / _DARK_CELL), 1, nodes // 6))
    low, high = separation.cloud_lab.min(axis=0), separation.cloud_lab.max(axis=0)
    cell = _CELL * (_USUAL_GRID - 1) / (nodes - 1)
    beyond = [(128 + low[axis], 128 - high[axis]) for axis in (1, 2)]
    counts = [(max(1, round(below / cell)), max(1, round(above / cell))) for below, above in beyond]
    return lab_spacing(separation.cloud_lab, nodes, black, outside=(counts[0], counts[1]), too_dark=too_dark, growth=_GROWTH)


def colorimetric_ink_table(rule: InkRule, spacing: LabSpacing) -> FloatArray:
    """Return node values (grid, grid, grid, c) of the colorimetric table: the separation inside, the rule outside."""
    points = InkPointSettings()
    inside = _inside(rule.separation, points)
    families = [inside, _edges(rule.separation, points), *_greys(rule, points), *_around(rule, spacing, inside.lab, points)]
    families.append(_near_black(rule, points))
    nodes = spacing.node_lab()
    own, _ = rule.device(nodes)
    black = rule.gamut.darkest
    pinned = (np.abs(nodes[:, 1:]).max(axis=1) < _ON_AXIS) & (nodes[:, 0] < black + _ON_AXIS)
    own[pinned] = rule.black  # neutral, whatever lies around it
    return fit_ink_table(rule.separation, spacing, families, own, pinned=pinned)


def _inside(separation: Separation, points: InkPointSettings) -> InkPoints:
    random = np.random.default_rng(5)
    device = drawn_within(points.filling, separation.colour_limits, random)
    dark = slice(0, int(points.darkened * len(device)))
    device[dark] = 1 - (1 - device[dark]) ** 2
    for share in (points.at_end, points.at_end / 2):  # some of the second lot have two inks at an end, or more
        rows = np.flatnonzero(random.random(len(device)) < share)
        device[rows, random.integers(0, separation.inks, len(rows))] = random.integers(0, 2, len(rows))
    device = separation.colour_limits.lowered(device, None)
    lab = separation.colours(device)
    inks, left = separation.inks_of(lab)
    kept = left < points.reached
    return ink_points(separation, lab[kept], inks[kept])


def _edges(separation: Separation, points: InkPointSettings) -> InkPoints:
    """Return full inks, their overprints and the ways from one to the other: the corners and edges of the gamut."""
    inks = separation.inks
    random = np.random.default_rng(11)
    device = np.round(random.random((points.edges, inks)) * 0.8)  # few inks more often than many
    device[np.arange(len(device)), random.integers(0, inks, len(device))] = np.sin(random.random(len(device)) * np.pi / 2) ** 2
    device = np.concatenate([np.repeat(_corners(inks), points.corners, axis=0), device])
    device = np.minimum(device, separation.colour_limits.ceilings)
    lab = separation.colours(device[device.sum(axis=1) <= separation.limits.total])
    found, left = separation.inks_of(lab)
    kept = left < points.reached
    return ink_points(separation, lab[kept], found[kept], points.edge_weight)


def _corners(inks: int) -> FloatArray:
    """Return every ink alone at full, and every two (k, inks)."""
    alone = np.eye(inks)
    pairs = [alone[first] + alone[second] for first in range(inks) for second in range(first + 1, inks)]
    return np.vstack([alone, pairs])


def _greys(rule: InkRule, points: InkPointSettings) -> list[InkPoints]:
    """Return greys and near greys that can be printed, and those that are too dark for it."""
    separation, black = rule.separation, rule.gamut.darkest
    random = np.random.default_rng(2)
    lab = np.zeros((points.greys + points.near_greys, 3))
    lab[: points.greys, 0] = black + (100 - black) * np.linspace(0, 1, points.greys) ** 1.5
    lab[points.greys :, 0] = black + (100 - black) * random.random(points.near_greys) ** 1.5
    lab[points.greys :, 1:] = random.normal(size=(points.near_greys, 2)) * points.grey_chroma
    inks, left = separation.inks_of(lab)
    kept = left < points.reached
    found = [ink_points(separation, lab[kept], inks[kept], points.grey_weight, grows=False)]
    dark = random.normal(size=(points.shadow, 3)) * points.grey_chroma
    dark[:, 0] = random.uniform(0, black, points.shadow)
    dark[::2, 1:] = 0
    inks, left = rule.device(dark)
    out = left > INSIDE
    found.append(
        ink_points(separation, dark[out], inks[out], points.shadow_weight, steady=points.outside_steady, room=0.3, grows=False)
    )
    return found


def _around(rule: InkRule, spacing: LabSpacing, inside: FloatArray, points: InkPointSettings) -> list[InkPoints]:
    """Return colours outside, and those inside that lie in cells at the surface: else some cells would hold hardly any."""
    random = np.random.default_rng(9)
    held = cells_held(spacing, inside)
    surface = np.argwhere(widened(held) & widened(~held)).repeat(points.at_surface, axis=0)
    places = surface + (np.arange(1, len(surface) + 1)[:, None] * _EVEN + random.random(3)) % 1
    near = np.column_stack([spacing.at(places[:, axis], axis) for axis in range(3)])
    lab = np.concatenate([near, dark_and_pale_colours(random, points.of_source, points.dark_of_source)])
    device, left = rule.device(lab)
    out, reached = left > INSIDE, left < points.reached
    outside = ink_points(
        rule.separation,
        lab[out],
        device[out],
        points.outside_weight,
        steady=points.outside_steady,
        room=0.3,
        grows=points.outside_tolerated > 0,
        printable=False,
        tolerated=points.outside_tolerated,
    ).counting(points.outside_lightness, points.outside_hue)
    return [outside, ink_points(rule.separation, lab[reached], device[reached])]


def _near_black(rule: InkRule, points: InkPointSettings) -> InkPoints:
    """Return colours outside on ways from black: the first few cells hold all of black's surroundings, and few other points."""
    reach = min(points.near_black_reach, points.near_black_darker * rule.gamut.darkest)
    lab = dark_rays(np.random.default_rng(13), points.near_black, reach)
    device, left = rule.device(lab)
    out = left > INSIDE
    return ink_points(
        rule.separation,
        lab[out],
        device[out],
        points.near_black_weight,
        steady=points.outside_steady,
        room=0.3,
        grows=False,
        printable=False,
    ).counting(points.near_black_lightness, points.near_black_hue)


def mapped_ink_table(rule: InkRule, spacing: LabSpacing, mapping: Mapping) -> FloatArray:
    """Return node values (grid, grid, grid, c) of a table from source colours to inks, fitted to a mapping."""
    separation, points = rule.separation, InkPointSettings()
    random = np.random.default_rng(3)
    volume = dark_and_pale_colours(random, points.mapped_of_source, points.mapped_dark)
    greys = np.linspace(0, 1, points.mapped_greys)[:, None] ** 1.5 * (100.0, 0.0, 0.0)
    families = []
    for lab, weight in ((volume, 1.0), (greys, points.mapped_grey_weight)):
        inks = rule.sent(mapping.mapped(lab))
        families.append(ink_points(separation, lab, inks, weight, room=0.3))
    own = separation.start(edge_space_to_lab(mapping.mapped(spacing.node_lab())))
    return fit_ink_table(separation, spacing, families, own, _MAPPED)
