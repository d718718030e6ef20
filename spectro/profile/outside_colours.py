"""Colours outside a printer's gamut, and what a PCS-to-device table must make of them: their hue before all else.

In the first cells beyond the surface a table cannot follow the bend there, and clips: the hue of light colours would turn.
All figures of how points count are ours; what they do stands in benchmarks/accuracy.md.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from spectro.colour.hue_straight import lab_to_hue_straight
from spectro.colour.source_gamut import source_surface
from spectro.maths.lattice import corner_weights
from spectro.profile.inversion import Inverse, invert
from spectro.profile.spacing import LabSpacing
from spectro.records.arrays import BoolArray, FloatArray

_AT_SURFACE, _AT_LIGHT_SURFACE, _BESIDE = 8, 32, 4  # points in every cell at the surface, and beyond it
_LIGHT_CELL = 75.0  # L* from which a cell counts as light: there a small error is a large turn of hue
_FAR_POINTS = 15_000  # on the surface of a source gamut
_EVEN = 1.2207440846057596 ** -np.arange(1.0, 4.0)  # by the root of x ** 4 = x + 1: steps that fill a cube evenly
_FAR_SOURCE = "opRGB"
_LEFT = 0.1  # distance left by inversion from which a colour counts as outside
_FIRM = 1e-3  # weight of the device values of a point outside, one inside counting 1 in the median
_FIRM_SHADOW = 1.5
_LET_PASS = 2.0  # degrees of hue that a colour at the surface may turn without being held back
_LET_PASS_LEAST = 0.05  # share of it that is let pass far from the surface
_SURFACE_REACH, _FAR_REACH = 3.0, 8.0  # distances left between which the one becomes the other
_TURN_AIMED, _AIMED_LEAST = 2.5, 0.2  # degrees, and the least share of it: turns above count more in the next pass
_DARK, _LIGHT = 15.0, 35.0  # L* up to which hue is not looked at, and from which it counts in full
_LEAST_CHROMA = 5.0  # below it hue is not looked at


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutsideColours:
    """Points (n) outside a gamut, the device values of the nearest printable colours, and how they count in the fit."""

    lab: FloatArray  # (n, 3)
    device: FloatArray  # (n, 3)
    hue: FloatArray  # (n,), degrees in the hue-straight space, of the nearest printable colours
    hue_slopes: FloatArray  # (n, 3), degrees per device value; 0 where hue does not count
    firm: FloatArray  # (n,), weights of the device values
    let_pass: FloatArray  # (n,), degrees
    turn_aimed: FloatArray  # (n,), degrees

    def clipped_right(self, found: FloatArray) -> BoolArray:
        """Return whether clipping brings the channels (n, 3) of values found to those wanted."""
        right: BoolArray = ((self.device <= 0) & (found < 0)) | ((self.device >= 1) & (found > 1))
        return right

    def turns(self, inverse: Inverse, found: FloatArray) -> FloatArray:
        """Return by how many degrees (n,) the hue of device values found (n, 3), clipped, differs from that wanted."""
        printed = lab_to_hue_straight(inverse.table.evaluate(np.clip(found, 0, 1)), inverse.cam_share)
        turned = np.degrees(np.arctan2(printed[:, 2], printed[:, 1])) - self.hue
        counted = self.hue_slopes.any(axis=1) & (np.hypot(printed[:, 1], printed[:, 2]) > _LEAST_CHROMA - 1)
        return np.where(counted, np.abs((turned + 180) % 360 - 180), 0.0)


def outside_colours(
    inverse: Inverse, spacing: LabSpacing, inside: FloatArray, shadows: tuple[FloatArray, FloatArray], seed: int
) -> OutsideColours:
    """Return colours outside the gamut: even over the cells at its surface, farther out as pictures hold them, and shadows.

    inside: Lab (n, 3), colours that fill the gamut. shadows: Lab and device values of unprintable greys.
    """
    random = np.random.default_rng(seed)
    lab = np.concatenate([_in_cells(spacing, inside, random), _of_source(random)])
    device, left = invert(inverse, lab)
    outside = left > _LEFT
    lab, device, left = lab[outside], device[outside], left[outside]
    near = np.clip((_FAR_REACH - left) / (_FAR_REACH - _SURFACE_REACH), 0, 1)
    hue, slopes, chroma = _hue(inverse, np.concatenate([device, shadows[1]]))
    slopes[len(lab) :] = 0
    slopes[chroma < _LEAST_CHROMA] = 0
    slopes[: len(lab)] *= np.clip((lab[:, :1] - _DARK) / (_LIGHT - _DARK), 0, 1)
    grown = np.concatenate([np.maximum(near, _LET_PASS_LEAST), np.ones(len(shadows[0]))])
    return OutsideColours(
        lab=np.concatenate([lab, shadows[0]]),
        device=np.concatenate([device, shadows[1]]),
        hue=hue,
        hue_slopes=slopes,
        firm=np.repeat([_FIRM, _FIRM_SHADOW], [len(lab), len(shadows[0])]),
        let_pass=_LET_PASS * grown,
        turn_aimed=_TURN_AIMED * np.maximum(grown, _AIMED_LEAST),
    )


def _in_cells(spacing: LabSpacing, inside: FloatArray, random: np.random.Generator) -> FloatArray:
    """Return Lab (n, 3): many in every cell that holds the surface of colours inside (n, 3), fewer in cells beside those."""
    numbers = np.clip(np.floor(spacing.positions(inside)).astype(np.int64), 0, spacing.grid - 2)
    held = np.zeros((spacing.grid - 1,) * 3, dtype=np.bool_)
    held[tuple(numbers.T)] = True
    beside = widened(held) & ~held
    surface = np.argwhere(held & widened(~held))
    light = spacing.at(surface[:, 0].astype(np.float64), 0) > _LIGHT_CELL
    counts = np.where(light, _AT_LIGHT_SURFACE, _AT_SURFACE)
    cells = np.concatenate([surface.repeat(counts, axis=0), np.argwhere(beside).repeat(_BESIDE, axis=0)])
    steps = np.arange(1, len(cells) + 1)[:, None] * _EVEN
    places = cells + (steps + random.random(3)) % 1
    return np.column_stack([spacing.at(places[:, axis], axis) for axis in range(3)])


def _of_source(random: np.random.Generator) -> FloatArray:
    """Return Lab (n, 3) on the surface of a source gamut."""
    device = random.random((_FAR_POINTS, 3))
    device[np.arange(_FAR_POINTS), random.integers(0, 3, _FAR_POINTS)] = random.integers(0, 2, _FAR_POINTS)
    return source_surface(_FAR_SOURCE, device)


def _hue(inverse: Inverse, device: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return hue (n,), degrees, its slopes (n, 3), degrees per device value, and chroma (n,) of device values (n, 3)."""
    values, slopes = inverse.table.evaluate_with_slopes(np.clip(device, 1e-6, 1 - 1e-6), inverse.lattice)
    chroma = np.hypot(values[:, 1], values[:, 2])
    sine, cosine = values[:, 2] / np.maximum(chroma, 1e-9), values[:, 1] / np.maximum(chroma, 1e-9)
    across = cosine[:, None] * slopes[:, 2] - sine[:, None] * slopes[:, 1]
    return np.degrees(np.arctan2(values[:, 2], values[:, 1])), np.degrees(across / np.maximum(chroma, 1)[:, None]), chroma


def look_up(grid: int, positions: FloatArray) -> Any:
    """Return the sparse matrix (n, nodes) that interpolates the values of grid ** 3 nodes at positions (n, 3), node units."""
    indices, weights = corner_weights((grid,) * 3, positions)
    rows = np.arange(0, indices.size + 1, indices.shape[1], dtype=np.int32)
    return sparse.csr_array((weights.ravel(), indices.ravel().astype(np.int32), rows), shape=(len(positions), grid**3))


def touched_nodes(look_up: Any) -> BoolArray:
    """Return which nodes (nodes,) count at all in a matrix of `look_up`."""
    touched: BoolArray = look_up.T @ np.ones(look_up.shape[0]) > 1e-3
    return touched


def widened(marked: BoolArray) -> BoolArray:
    """Return which nodes of a lattice (k, l, m) are marked or have a marked neighbour, diagonals included."""
    wide = np.pad(marked, 1)
    for axis in range(3):
        ahead, behind = np.roll(wide, 1, axis), np.roll(wide, -1, axis)
        wide = wide | ahead | behind
    return wide[1:-1, 1:-1, 1:-1]
