"""Where the nodes of a PCS-to-device table lie: most of them inside the gamut, the neutral axis on nodes."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from spectro.icc.numbers import decode_lab
from spectro.records.arrays import AnyArray, ArrayLike, FloatArray, frozen_floats

_OUTSIDE = 2  # intervals an end that lie beyond the gamut
_ENTRIES = 4096
_KNOTS = 129
_LEAST_CELL = 1.2  # L*
_MARGIN = 0.5  # a*, b*, beyond the gamut's ends
_REACH = 15.0  # Lab units over which the closer spacing fades
_DARK_DENSITY, _BRIGHT_DENSITY, _NEUTRAL_DENSITY = 1.5, 1.5, 0.5
_OUTER_PLACE = 0.6  # where the second of two outer intervals begins, from the gamut's end (0) to the encoding's (1)
_TOWARDS_BLACK = 2.0  # power of the share of the way from black, for nodes darker than the gamut
_LEAST_SHARE = 0.05  # of the mean error, that an interval counts with at least
_PULL = 0.7  # 1: wholly to the spacing that the errors call for; 0: as it is


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabSpacing:
    """Input curves of a table over Lab. `knots` (axis, 2, k): Lab values and node numbers between which it is linear.

    `pinned`: numbers of the nodes of each axis that stay where they are when the others are moved.
    """

    grid: int
    knots: tuple[FloatArray, FloatArray, FloatArray]
    pinned: tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]

    def curves(self, *, legacy: bool) -> AnyArray:
        """Return the input tables (3, 4096), uint16, for the Lab encoding of lut16Type or that of version 4."""
        fractions = np.linspace(0, 1, _ENTRIES)
        lab = decode_lab(np.repeat(fractions[:, None], 3, axis=1), legacy=legacy)
        positions = np.stack([np.interp(lab[:, axis], *self.knots[axis]) for axis in range(3)])
        return np.round(positions / (self.grid - 1) * 65535).astype(np.uint16)

    def positions(self, lab: FloatArray) -> FloatArray:
        """Return node positions (n, 3) of Lab (n, 3)."""
        return np.column_stack([np.interp(lab[:, axis], *self.knots[axis]) for axis in range(3)])

    def node_lab(self) -> FloatArray:
        """Return the Lab (grid ** 3, 3) of the nodes, last axis fastest."""
        axes = [self.at(np.arange(self.grid), axis) for axis in range(3)]
        return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)

    def at(self, positions: ArrayLike, axis: int) -> FloatArray:
        """Return the values of L*, a* or b* at node positions along that axis."""
        found: FloatArray = np.interp(np.asarray(positions, dtype=np.float64), self.knots[axis][1], self.knots[axis][0])
        return found


def lab_spacing(
    gamut_lab: FloatArray,
    grid: int,
    darkest_grey: float | None = None,
    *,
    outside: tuple[tuple[int, int], tuple[int, int]] = ((_OUTSIDE, _OUTSIDE), (_OUTSIDE, _OUTSIDE)),
    too_dark: int = 1,
    growth: float | None = None,
) -> LabSpacing:
    """Return the spacing for a gamut given by Lab (n, 3) that reach to its ends.

    darkest_grey: L* of the darkest neutral colour of the gamut. It becomes a node where it lies well above the darkest
    colour: what is neutral above it goes to the tint of the darkest colour below it, and the kink must not lie in a cell.
    outside: how many intervals cover what lies beyond the gamut at the low and the high end of a*, and of b*; 1 or 2 without
    growth. too_dark: how many cover what is darker than the gamut. growth: how many times as wide as the one before each
    interval beyond the gamut is, from the gamut's end; what is too dark is then closer towards black, where colours are drawn
    in to it. None: two intervals by a fixed share, and even ones in the dark.

    Nodes lie closer in the dark and near the neutral axis, where colours change fastest with device values; along a* and
    b* the zero is a node; L* 100 is the last node.
    """
    low, high = gamut_lab.min(axis=0), gamut_lab.max(axis=0)
    last = grid - 1
    darkest = float(np.clip(low[0] - 1, 1.0, 60.0))
    first = too_dark
    share = np.linspace(0.0, 1.0, too_dark + 1)[:-1] ** (1.0 if growth is None else _TOWARDS_BLACK)
    below, below_numbers = (darkest * share).tolist(), list(np.arange(float(too_dark)))
    if darkest_grey is not None and darkest + _LEAST_CELL < darkest_grey < 60:
        below, below_numbers = [*below, darkest], [*below_numbers, float(too_dark)]
        first, darkest = too_dark + 1, darkest_grey
    lightness, numbers = _dense_near(darkest, darkest, 100.0, first, last, _DARK_DENSITY, _BRIGHT_DENSITY)
    knots = [frozen_floats([[*below, *lightness], [*below_numbers, *numbers]])]
    pinned = [(*range(first + 1), last)]
    for axis, (left_out, right_out) in zip((1, 2), outside, strict=True):
        downwards, upwards = max(1.0, _MARGIN - low[axis]), max(1.0, _MARGIN + high[axis])
        inside = last - left_out - right_out
        zero = left_out + int(np.clip(round(inside * downwards / (downwards + upwards)), 1, inside - 1))
        left, right = zero - left_out, last - right_out - zero
        step = min(max(downwards / left, upwards / right), 126.0 / left, 126.0 / right)
        lower, lower_numbers = _dense_near(0.0, -step * left, 0.0, left_out, zero, _NEUTRAL_DENSITY)
        upper, upper_numbers = _dense_near(0.0, 0.0, step * right, zero, last - right_out, _NEUTRAL_DENSITY)
        ahead, ahead_numbers = _outer(-128.0, float(lower[0]), left_out, growth)
        behind, behind_numbers = _outer(127.99609375, float(upper[-1]), right_out, growth)
        values = [*ahead, *lower, *upper[1:], *behind[::-1]]
        knots.append(
            frozen_floats([values, [*ahead_numbers, *lower_numbers, *upper_numbers[1:], *(last - behind_numbers[::-1])]])
        )
        pinned.append((*range(left_out + 1), zero, *range(last - right_out, last + 1)))
    return LabSpacing(grid=grid, knots=(knots[0], knots[1], knots[2]), pinned=(pinned[0], pinned[1], pinned[2]))


def _outer(end: float, gamut_end: float, intervals: int, growth: float | None) -> tuple[FloatArray, FloatArray]:
    """Return the values of the nodes beyond a gamut's end, outermost first, and their numbers from the outermost."""
    numbers = np.arange(intervals, dtype=np.float64)
    if growth is None:
        between = [gamut_end + _OUTER_PLACE * (end - gamut_end)] if intervals == 2 else []
        return np.array([end, *between]), numbers
    widths = growth**numbers
    return (gamut_end + (end - gamut_end) * np.cumsum(widths) / widths.sum())[::-1], numbers


def moved_spacing(spacing: LabSpacing, lab: FloatArray, error: FloatArray) -> LabSpacing:
    """Return the spacing with nodes moved to where errors (n,) found with it at Lab (n, 3) call for them.

    An interpolation's error goes with the square of the interval. With an even sum of the errors' cube roots over the
    intervals, the whole is least for the number of nodes; the step there is damped. Pinned nodes stay.
    """
    places = spacing.positions(lab)
    knots = []
    for axis, pinned in enumerate(spacing.pinned):
        numbers = np.clip(np.floor(places[:, axis]).astype(np.int64), 0, spacing.grid - 2)
        sums = np.bincount(numbers, error, minlength=spacing.grid - 1).astype(np.float64)
        nodes = spacing.at(np.arange(spacing.grid), axis)
        for first, last in pairwise(pinned):
            if last - first > 1:
                nodes[first : last + 1] = _moved(nodes[first : last + 1], sums[first:last])
        knots.append(frozen_floats([nodes, np.arange(spacing.grid)]))
    return LabSpacing(grid=spacing.grid, knots=(knots[0], knots[1], knots[2]), pinned=spacing.pinned)


def _moved(nodes: FloatArray, sums: FloatArray) -> FloatArray:
    """Return nodes (k + 1,) between the same ends, moved as the sums (k,) of errors in their intervals call for."""
    shares = np.cbrt(np.maximum(sums, _LEAST_SHARE * sums.mean()) + 1e-12)
    padded = np.concatenate([shares[:1], shares, shares[-1:]])
    shares = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
    counts = (shares / shares.mean()) ** _PULL  # nodes that each interval should hold, as wide as it is
    reached = np.concatenate([[0.0], np.cumsum(counts)])
    moved: FloatArray = np.interp(np.arange(len(nodes)), reached / reached[-1] * len(counts), nodes)
    return moved


def _dense_near(
    centre: float, first: float, final: float, first_node: int, final_node: int, density: float, final_density: float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Return values from first to final and their node numbers, nodes 1 + density times as close at the centre.

    final_density: the same at the final value.
    """
    values = np.linspace(first, final, _KNOTS)
    rate = 1 + density * np.exp(-np.abs(values - centre) / _REACH) + final_density * np.exp(-np.abs(values - final) / _REACH)
    sums = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)])
    return values, first_node + (final_node - first_node) * (sums / sums[-1])
