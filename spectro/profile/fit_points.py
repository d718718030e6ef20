"""The families of points at which a PCS-to-device table is fitted: what the table should send there, and how much it counts.

Inside: colours that fill the gamut. Neutral: greys that can be printed. Shadow: greys and near greys too dark to be printed.
Outside: colours that cannot be printed, at the surface, beside it and as far out as sources of pictures reach.
The weights are ours; what they do, and what was tried instead, stands in benchmarks/accuracy.md.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import lab_to_xyz
from spectro.colour.source_gamut import source_surface
from spectro.maths.lattice import n_linear
from spectro.maths.row_blocks import in_row_blocks
from spectro.profile.device_table import DeviceTable
from spectro.profile.inversion import Inverse, invert
from spectro.profile.outside_rule import OutsideRule
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import BoolArray, FloatArray

_STEP = 0.01  # of device values, for sensitivities
_ROWS = 32768  # at a time
_EVEN = 1.2207440846057596 ** -np.arange(1.0, 4.0)  # by the root of x ** 4 = x + 1: steps that fill a cube evenly
_SOURCES = ("sRGB", "opRGB", "P3-D65")
_WIDEST = 127.9  # a* and b* that the encodings of Lab hold
_ABOUT_GAMMA = 2.2  # of sources, to draw dark colours about evenly; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSettings:
    """How many points of each family, where, and what they count; a point inside counts 1 in the median."""

    filling: int = 220_000
    darkened: int = 80_000  # of them, with squared device values: dark colours fill few of the cube's points and many cells
    greyed: int = 30_000  # of them, drawn to their mean: cells are small near grey too
    greyed_share: float = 0.3
    neutral: int = 2000
    neutral_weight: float = 4000.0  # greys show the smallest tint
    printable: float = 0.1  # distance left by inversion up to which a neutral colour counts as printable
    shadow: int = 8000
    shadow_chroma: float = 8.0  # Lab units
    shadow_above: float = 8.0  # L* above the darkest colour up to which they lie
    shadow_weight: float = 1.5
    at_surface: int = 4  # points in every cell at the surface
    at_light_surface: int = 16  # the same where L* is above 75: there a small error is a large turn of hue
    light_cell: float = 75.0
    beside: int = 2  # points in every cell beside those
    of_source: int = 25_000  # of each source of pictures
    dark_of_source: int = 40_000  # of all of them, darkened
    weight_shared: float = 0.013  # of a point outside whose cell holds the surface: what one side gains the other loses
    weight_beyond: float = 0.13  # in the other cells
    dark_weight: float = 70.0  # added to 1 at the darkest L*, fading over dark_reach
    dark_reach: float = 10.0
    light_weight: float = 4.0  # added to 1 from L* 80, from 65 on
    room: float = 0.2  # how far a channel that is at an end may go beyond it, outside
    most_outside: float = 2.0  # factor by which weights outside grow a pass at most, where the error is above 1
    worst: float = 93.0  # percentile of the errors inside from which weights there grow
    most_inside: float = 10.0  # factor by which they grow a pass at most


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitPoints:
    """One family (n): Lab, device values wanted there, weights, and what makes weights grow from pass to pass."""

    lab: FloatArray  # (n, 3)
    device: FloatArray  # (n, 3)
    weight: FloatArray  # (n,)
    room: float  # how far a channel that is at an end may go beyond it: clipping brings it back
    tolerated: float | None  # ΔE00 above which a point comes to count more; None: the percentile `worst` of the family's errors
    worst: float
    most: float  # the factor at most, a pass

    def aims(self, found: FloatArray) -> FloatArray:
        """Return what is wanted (n, 3) where a table has found (n, 3): the value found, where clipping makes it right."""
        low, high = np.clip(found, -self.room, 0), np.clip(found, 1, 1 + self.room)
        return np.where(self.device <= 0, low, np.where(self.device >= 1, high, self.device))

    def emphasis(self, error: FloatArray) -> FloatArray:
        """Return the factors (n,) by which weights grow where ΔE00 (n,) was found."""
        tolerated = np.percentile(error, self.worst) if self.tolerated is None else self.tolerated
        factors: FloatArray = np.clip(error / max(float(tolerated), 1e-9), 1, self.most)
        return factors


def sample_points(count: int, seed: int) -> FloatArray:
    """Return device values (count, 3): two thirds inside the cube, the rest on its faces, a quarter of those on edges."""
    random = np.random.default_rng(seed)
    device = random.random((count, 3))
    faces, edges = count // 3, count // 12
    for rows in (faces, edges):
        device[np.arange(rows), random.integers(0, 3, rows)] = random.integers(0, 2, rows)
    return device


def inside_points(table: DeviceTable, settings: PointSettings) -> FitPoints:
    """Return colours that fill the gamut, faces and edges included. They count by how much ΔE00 device values make there."""
    device = sample_points(settings.filling, seed=1)
    device[np.random.default_rng(5).permutation(settings.filling)[: settings.darkened]] **= 2
    rows = np.random.default_rng(6).permutation(settings.filling)[: settings.greyed]
    grey = device[rows].mean(axis=1, keepdims=True)
    device[rows] = grey + (device[rows] - grey) * settings.greyed_share
    return _inside(table, device, sensitivity(table, device), settings)


def neutral_points(inverse: Inverse, settings: PointSettings) -> FitPoints:
    """Return greys that can be printed, from the darkest to the paper, more of the dark."""
    lab = np.zeros((settings.neutral, 3))
    darkest = inverse.table.lab[..., 0].min()
    lab[:, 0] = darkest + (100 - darkest) * np.linspace(0, 1, settings.neutral) ** 2
    device, left = invert(inverse, lab)
    device = device[left < settings.printable]
    return _inside(inverse.table, device, settings.neutral_weight * sensitivity(inverse.table, device), settings)


def _inside(table: DeviceTable, device: FloatArray, weight: FloatArray, settings: PointSettings) -> FitPoints:
    return FitPoints(
        lab=table.evaluate(device),
        device=device,
        weight=weight,
        room=0.0,
        tolerated=None,
        worst=settings.worst,
        most=settings.most_inside,
    )


def shadow_points(rule: OutsideRule, settings: PointSettings) -> FitPoints:
    """Return greys and near greys too dark to be printed, half of them neutral.

    Pictures are full of them: an unprintable black must come out as the black of the printer, without a tint.
    """
    random = np.random.default_rng(3)
    lab = random.normal(size=(settings.shadow, 3)) * settings.shadow_chroma
    lab[:, 0] = random.uniform(0, rule.gamut.darkest + settings.shadow_above, settings.shadow)
    lab[::2, 1:] = 0
    points = _outside(rule, lab, settings)
    weight = np.maximum(settings.weight_shared * _counted(rule, points.device, settings), settings.shadow_weight)
    return _weighted(points, weight)


def outside_points(rule: OutsideRule, spacing: LabSpacing, held: BoolArray, settings: PointSettings) -> FitPoints:
    """Return colours that cannot be printed. held: (cells, cells, cells), which cells of the table hold printable colours."""
    random = np.random.default_rng(2)
    pictures = dark_and_pale_colours(random, settings.of_source, settings.dark_of_source)
    points = _outside(rule, np.concatenate([_in_cells(spacing, held, random, settings), pictures]), settings)
    shared = n_linear(corners_of(held)[..., None].astype(np.float64), spacing.positions(points.lab))[:, 0]
    weight = settings.weight_shared * shared + settings.weight_beyond * (1 - shared)
    return _weighted(points, weight * _counted(rule, points.device, settings))


def _outside(rule: OutsideRule, lab: FloatArray, settings: PointSettings) -> FitPoints:
    """Return those of Lab (n, 3) that cannot be printed, with what the rule sends there."""
    lab, device = rule.outside(lab, settings.printable)
    return FitPoints(
        lab=lab,
        device=device,
        weight=np.ones(len(lab)),
        room=settings.room,
        tolerated=1.0,
        worst=settings.worst,
        most=settings.most_outside,
    )


def _weighted(points: FitPoints, weight: FloatArray) -> FitPoints:
    return replace(points, weight=weight)


def _counted(rule: OutsideRule, device: FloatArray, settings: PointSettings) -> FloatArray:
    """Return what device values (n, 3) count (n,) by their sensitivity and by the lightness they print."""
    table = rule.inverse.table
    lightness = table.evaluate(device)[:, 0]
    dark = settings.dark_weight * np.exp(-(((lightness - rule.gamut.darkest) / settings.dark_reach) ** 2))
    light = settings.light_weight * np.clip((lightness - 65) / 15, 0, 1)
    counted: FloatArray = sensitivity(table, device) * (1 + dark) * (1 + light)
    return counted


def cells_held(spacing: LabSpacing, lab: FloatArray) -> BoolArray:
    """Return which cells (grid - 1, grid - 1, grid - 1) of a table hold any of the colours Lab (n, 3)."""
    numbers = np.clip(np.floor(spacing.positions(lab)).astype(np.int64), 0, spacing.grid - 2)
    held = np.zeros((spacing.grid - 1,) * 3, dtype=np.bool_)
    held[tuple(numbers.T)] = True
    return held


def corners_of(held: BoolArray) -> BoolArray:
    """Return which nodes of a lattice (k + 1, l + 1, m + 1) are corners of the cells held (k, l, m)."""
    corners = np.zeros(tuple(cells + 1 for cells in held.shape), dtype=np.bool_)
    for first, second, third in product((0, 1), repeat=3):
        k, m, n = held.shape
        corners[first : first + k, second : second + m, third : third + n] |= held
    return corners


def widened(marked: BoolArray) -> BoolArray:
    """Return which places of a lattice (k, l, m) are marked or have a marked neighbour, diagonals included."""
    wide = np.pad(marked, 1)
    for axis in range(3):
        ahead, behind = np.roll(wide, 1, axis), np.roll(wide, -1, axis)
        wide = wide | ahead | behind
    return wide[1:-1, 1:-1, 1:-1]


def _in_cells(spacing: LabSpacing, held: BoolArray, random: np.random.Generator, settings: PointSettings) -> FloatArray:
    """Return Lab (n, 3): many in every cell that holds the surface, fewer in the cells beside those."""
    beside = widened(held) & ~held
    surface = np.argwhere(held & widened(~held))
    light = spacing.at(surface[:, 0].astype(np.float64), 0) > settings.light_cell
    counts = np.where(light, settings.at_light_surface, settings.at_surface)
    cells = np.concatenate([surface.repeat(counts, axis=0), np.argwhere(beside).repeat(settings.beside, axis=0)])
    steps = np.arange(1, len(cells) + 1)[:, None] * _EVEN
    places = cells + (steps + random.random(3)) % 1
    return np.column_stack([spacing.at(places[:, axis], axis) for axis in range(3)])


def dark_and_pale_colours(random: np.random.Generator, count: int, darkened: int) -> FloatArray:
    """Return Lab (n, 3) of sources of pictures, count of each, half on the surface, an eighth paled; and darkened ones."""
    found = []
    for name in _SOURCES:
        dark = darkened // len(_SOURCES)
        device = random.random((count + dark, 3))
        faces = np.arange(0, count + dark, 2)
        device[faces, random.integers(0, 3, len(faces))] = random.integers(0, 2, len(faces))
        pale = slice(0, count // 8)
        device[pale] = 1 - (1 - device[pale]) * random.random((count // 8, 1)) / 2
        device[count:] *= 0.7 * random.random((dark, 1))
        found.append(source_surface(name, device))
    lab: FloatArray = np.concatenate(found)
    kept: FloatArray = lab[np.abs(lab[:, 1:]).max(axis=1) < _WIDEST]
    return kept


def dark_rays(random: np.random.Generator, count: int, reach: float) -> FloatArray:
    """Return Lab (n, 3), about count, on ways from black to full and paled hues of sources of pictures.

    reach: L* up to which they lie, about evenly.
    """
    found = []
    for name in _SOURCES:
        hue, pale, lightness = random.random((3, count // len(_SOURCES), 1))
        full = 1 - (1 - 0.7 * pale**2) * (1 - np.clip(np.abs((6 * hue + (0, 4, 2)) % 6 - 3) - 1, 0, 1))
        wanted = lab_to_xyz(reach * lightness * (1.0, 0.0, 0.0))[:, 1]
        share = np.minimum(wanted / lab_to_xyz(source_surface(name, full))[:, 1], 1)
        found.append(source_surface(name, full * share[:, None] ** (1 / _ABOUT_GAMMA)))
    lab: FloatArray = np.concatenate(found)
    kept: FloatArray = lab[lab[:, 0] < reach]
    return kept


def sensitivity(table: DeviceTable, device: FloatArray) -> FloatArray:
    """Return the squared sensitivity (n,), ΔE00 per device value, over its median, within 1/20 and 20."""

    def block(rows: FloatArray) -> FloatArray:
        lab, slopes = table.evaluate_with_slopes(rows, table.lab)
        room = (np.minimum(rows + _STEP, 1) - np.maximum(rows - _STEP, 0)) / 2  # faces count less: half their errors clip
        steps = (room[:, axis, None] * slopes[:, :, axis] for axis in range(rows.shape[1]))
        return np.asarray(sum(delta_e_2000(lab + step, lab - step) ** 2 for step in steps))

    squared = np.concatenate(in_row_blocks(block, (np.clip(device, 1e-6, 1 - 1e-6),), _ROWS))
    share: FloatArray = np.clip(squared / np.median(squared), 0.05, 20)
    return share
