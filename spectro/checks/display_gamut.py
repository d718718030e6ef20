"""Primaries of a display, how much of a colour space they cover, and whether light adds up.

Areas are in u'v' [CIE-15-2018]. Volumes are of the solids in CIELAB, each relative to its own white, taken to D50 by the
Bradford transform as colour management does [ICC.1-2022], black left out.
"""

import functools
import itertools

import numpy as np

from spectro.checks.display_white import patch
from spectro.colour.adaptation import bradford_matrix
from spectro.colour.lab import D50_PCS, lab_to_xyz
from spectro.colour.rgb_spaces import primaries_matrix, space_chromaticities, xyz_of_chromaticity
from spectro.colour.viewing import chromaticity, chromaticity_uv
from spectro.errors import InputError
from spectro.records.arrays import BoolArray, FloatArray, frozen_floats
from spectro.records.display_check import Coverage, DisplayAim, DisplayGamut, DisplayPrimary, DisplayReadings
from spectro.records.limits import Limits

PRIMARIES = {"red": (1, 0, 0), "green": (0, 1, 0), "blue": (0, 0, 1)}
SECONDARIES = {"cyan": (0, 1, 1), "magenta": (1, 0, 1), "yellow": (1, 1, 0)}
SPACES = ("sRGB", "P3-D65", "opRGB")  # reported beside the aim
_GRID = 3.0  # step of the CIELAB lattice that volumes are counted on
_EDGE = 1e-9


def display_gamut(readings: DisplayReadings, aim: DisplayAim, limits: Limits) -> DisplayGamut | None:
    """Return primaries, coverage and additivity; None where a primary was not read. Raises InputError for none in line.

    limits: those of viewing.
    """
    black = patch(readings, (0, 0, 0))
    floor = np.zeros(3) if black is None else black
    read = {name: patch(readings, signal) for name, signal in (PRIMARIES | SECONDARIES).items()}
    white = patch(readings, (1, 1, 1))
    found = {name: xyz - floor for name, xyz in read.items() if xyz is not None}
    if white is None or any(name not in found for name in PRIMARIES):
        return None
    columns = np.stack([found[name] for name in PRIMARIES])
    if (columns[:, 1] <= 0).any() or np.linalg.cond(columns) > 1e4:
        raise InputError(
            f"red, green and blue that do not span a gamut in {readings.origin}", "three primaries", "Measure them again."
        )
    light = float(white[1] - floor[1])
    aim_uv = aim_points(aim)
    return DisplayGamut(
        primaries=tuple(_one(name, found[name], aim_uv[name], light) for name in PRIMARIES),
        secondaries=tuple(_one(name, found[name], aim_uv[name], light) for name in SECONDARIES if name in found),
        coverage=coverages(columns, white - floor, aim),
        additivity=float(columns[:, 1].sum() / light - 1),
        secondary_additivity=_secondary(found),
        exchanged=exchanged_primaries(columns, aim_uv, limits),
    )


def exchanged_primaries(columns: FloatArray, aim_uv: dict[str, FloatArray], limits: Limits) -> tuple[str, ...]:
    """Return what XYZ (3, 3), read as red, green and blue, one a row, are by their colour; () where their names are right.

    aim_uv: u', v' of the aim's primaries. Other names count where they bring the sum of distances below a share of it.
    """
    uv = chromaticity_uv(columns)
    orders = {
        names: float(sum(np.hypot(*(uv[row] - aim_uv[name])) for row, name in enumerate(names)))
        for names in itertools.permutations(PRIMARIES)
    }
    best = min(orders, key=lambda names: orders[names])
    as_named = tuple(PRIMARIES)
    return () if best == as_named or orders[best] > limits["exchanged"] * orders[as_named] else best


def aim_points(aim: DisplayAim) -> dict[str, FloatArray]:
    """Return u', v' (2,) of the aim's primaries and secondaries."""
    matrix = primaries_matrix(np.vstack([aim.primaries, aim.white_xy]))
    signals = PRIMARIES | SECONDARIES
    return {name: chromaticity_uv(matrix @ np.array(signal, dtype=np.float64)) for name, signal in signals.items()}


def _one(name: str, xyz: FloatArray, aim_uv: FloatArray, light: float) -> DisplayPrimary:
    xy, uv = chromaticity(xyz), chromaticity_uv(xyz)
    return DisplayPrimary(
        name=name,
        xy=(float(xy[0]), float(xy[1])),
        uv=(float(uv[0]), float(uv[1])),
        away=float(np.hypot(*(uv - aim_uv))),
        share=float(xyz[1]) / light,
    )


def _secondary(found: dict[str, FloatArray]) -> float | None:
    names = {"cyan": ("green", "blue"), "magenta": ("red", "blue"), "yellow": ("red", "green")}
    ratios = [
        float((found[first][1] + found[second][1]) / found[name][1] - 1)
        for name, (first, second) in names.items()
        if name in found and found[name][1] > 0
    ]
    return max(ratios, key=abs) if ratios else None


def coverages(columns: FloatArray, white: FloatArray, aim: DisplayAim) -> tuple[Coverage, ...]:
    """Return coverage of the aim and of some usual spaces, of primaries (3, 3), one a row, and white (3,), XYZ."""
    spaces = {aim.name: np.vstack([aim.primaries, aim.white_xy])}
    spaces |= {name: space_chromaticities(name) for name in SPACES if name != aim.name}
    measured = np.vstack([chromaticity(columns), chromaticity(white)])
    lattice = _lattice()
    own = _inside(lattice, measured)
    triangle = chromaticity_uv(xyz_of_chromaticity(measured[:3]))
    result = []
    for name, chromaticities in spaces.items():
        space = _inside(lattice, chromaticities)
        wanted = chromaticity_uv(xyz_of_chromaticity(chromaticities[:3]))
        result.append(
            Coverage(
                space=name,
                area=polygon_area(clip_polygon(wanted, triangle)) / polygon_area(wanted),
                area_size=polygon_area(triangle) / polygon_area(wanted),
                volume=float((own & space).sum() / space.sum()),
                volume_size=float(own.sum() / space.sum()),
            )
        )
    return tuple(result)


@functools.cache
def _lattice() -> FloatArray:
    """XYZ (n, 3), Y = 1, of an even lattice over CIELAB."""
    lightness, chroma = np.arange(_GRID / 2, 100, _GRID), np.arange(-200, 200 + _GRID, _GRID)
    grid = np.stack(np.meshgrid(lightness, chroma, chroma, indexing="ij"), axis=-1).reshape(-1, 3)
    return frozen_floats(lab_to_xyz(grid) / 100)


def _inside(xyz: FloatArray, chromaticities: FloatArray) -> BoolArray:
    """Mask (n,) of XYZ relative to D50, Y = 1, that a display of these primaries and white can show."""
    white = xyz_of_chromaticity(chromaticities[3])
    matrix = bradford_matrix(white, D50_PCS / 100) @ primaries_matrix(chromaticities)
    linear = xyz @ np.linalg.inv(matrix).T
    return np.asarray(((linear >= -_EDGE) & (linear <= 1 + _EDGE)).all(axis=1))


def polygon_area(points: FloatArray) -> float:
    """Return the area of a polygon (n, 2) whose sides do not cross.

    >>> polygon_area(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    0.5
    """
    if len(points) < 3:
        return 0.0
    x, y = points.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def clip_polygon(subject: FloatArray, window: FloatArray) -> FloatArray:
    """Return the part (m, 2) of a convex polygon (n, 2) that lies inside a convex window (k, 2); (0, 2) for none.

    >>> polygon_area(clip_polygon(np.array([[0.0, 0], [2, 0], [0, 2]]), np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])))
    1.0
    """
    x, y = window.T
    corners = window if x @ np.roll(y, -1) - y @ np.roll(x, -1) > 0 else window[::-1]
    points = [np.asarray(point, dtype=np.float64) for point in subject]
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        side = [float((end[0] - start[0]) * (p[1] - start[1]) - (end[1] - start[1]) * (p[0] - start[0])) for p in points]
        kept = []
        for index, point in enumerate(points):
            before, here = side[index - 1], side[index]
            if (before < 0) != (here < 0):
                kept.append(points[index - 1] + before / (before - here) * (point - points[index - 1]))
            if here >= 0:
                kept.append(point)
        points = kept
    return np.array(points).reshape(-1, 2)
