"""Where the nodes of a PCS-to-device table lie: most of them inside the gamut, the neutral axis on nodes."""

from dataclasses import dataclass

import numpy as np

from spectro.icc.numbers import decode_lab
from spectro.maths.lattice import corner_weights
from spectro.records.arrays import AnyArray, FloatArray, IntArray, frozen_floats

_OUTSIDE = 2  # intervals an end that lie beyond the gamut
_ENTRIES = 4096
_KNOTS = 129
_LEAST_CELL = 1.2  # L*
_REACH = 15.0  # Lab units over which the closer spacing fades
_DARK_DENSITY, _NEUTRAL_DENSITY = 0.5, 0.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabSpacing:
    """Input curves of a table over Lab. `knots` (axis, 2, k): Lab values and node numbers between which it is linear."""

    grid: int
    knots: tuple[FloatArray, FloatArray, FloatArray]

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
        numbers = np.arange(self.grid)
        axes = [np.interp(numbers, self.knots[axis][1], self.knots[axis][0]) for axis in range(3)]
        return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)

    def weights(self, lab: FloatArray) -> tuple[IntArray, FloatArray]:
        """Return node indices and trilinear weights, (n, 8) each, of Lab (n, 3)."""
        return corner_weights((self.grid,) * 3, self.positions(lab))


def lab_spacing(gamut_lab: FloatArray, grid: int, darkest_grey: float | None = None) -> LabSpacing:
    """Return the spacing for a gamut given by Lab (n, 3) that reach to its ends.

    darkest_grey: L* of the darkest neutral colour of the gamut. It becomes a node where it lies well above the darkest
    colour: what is neutral above it goes to the tint of the darkest colour below it, and the kink must not lie in a cell.

    Nodes lie closer in the dark and near the neutral axis, where colours change fastest with device values; along a* and
    b* the zero is a node; L* 100 is the last node. Beyond the gamut's ends two intervals cover the rest (one for L*).
    """
    low, high = gamut_lab.min(axis=0), gamut_lab.max(axis=0)
    last = grid - 1
    darkest = float(np.clip(low[0] - 1, 1.0, 60.0))
    first = 1
    below, below_numbers = [0.0], [0.0]
    if darkest_grey is not None and darkest + _LEAST_CELL < darkest_grey < 60:
        below, below_numbers, first, darkest = [0.0, darkest], [0.0, 1.0], 2, darkest_grey
    lightness, numbers = _dense_near(darkest, darkest, 100.0, first, last, _DARK_DENSITY)
    knots = [frozen_floats([[*below, *lightness], [*below_numbers, *numbers]])]
    for axis in (1, 2):
        downwards, upwards = max(1.0, 1.5 - low[axis]), max(1.0, 1.5 + high[axis])
        inside = last - 2 * _OUTSIDE
        zero = _OUTSIDE + int(np.clip(round(inside * downwards / (downwards + upwards)), 1, inside - 1))
        left, right = zero - _OUTSIDE, last - _OUTSIDE - zero
        step = min(max(downwards / left, upwards / right), 126.0 / left, 126.0 / right)
        lower, lower_numbers = _dense_near(0.0, -step * left, 0.0, _OUTSIDE, zero, _NEUTRAL_DENSITY)
        upper, upper_numbers = _dense_near(0.0, 0.0, step * right, zero, last - _OUTSIDE, _NEUTRAL_DENSITY)
        values = [-128.0, *lower, *upper[1:], 127.99609375]
        knots.append(frozen_floats([values, [0.0, *lower_numbers, *upper_numbers[1:], last]]))
    return LabSpacing(grid=grid, knots=(knots[0], knots[1], knots[2]))


def _dense_near(
    centre: float, first: float, final: float, first_node: int, final_node: int, density: float
) -> tuple[FloatArray, FloatArray]:
    """Return values from first to final and their node numbers, nodes 1 + density times as close at the centre."""
    values = np.linspace(first, final, _KNOTS)
    rate = 1 + density * np.exp(-np.abs(values - centre) / _REACH)
    sums = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2)])
    return values, first_node + (final_node - first_node) * (sums / sums[-1])
