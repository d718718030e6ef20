"""Values and slopes in lattices of any number of axes as colour management modules read them, by columns.

Linear along all axes but the last three, tetrahedral in those; two axes or fewer are linear.
"""

from itertools import product

import numpy as np

from spectro.maths.tetrahedra import cells, columns_of
from spectro.records.arrays import FloatArray, IntArray

_SIMPLEX = 3  # axes of a tetrahedron


class SlopedLattice:
    """A table (g1, …, gk, outputs) that is prepared once and looked up many times. Immutable."""

    def __init__(self, table: FloatArray) -> None:
        """Keep the table's columns."""
        self.grid = tuple(int(nodes) for nodes in table.shape[:-1])
        self.columns = columns_of(table)

    def values(self, device: FloatArray) -> FloatArray:
        """Return values (outputs, n) of device values (k, n), 0 to 1."""
        return self.values_and_slopes(device)[0]

    def values_and_slopes(self, device: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return values (outputs, n) of device values (k, n), 0 to 1, and their slopes (outputs, k, n)."""
        axes = len(self.grid)
        scale = [nodes - 1 for nodes in self.grid]
        base, fractions, strides = cells(self.grid, np.stack([device[axis] * scale[axis] for axis in range(axes)], axis=1))
        lead = max(axes - _SIMPLEX, 0)
        simplex = _Simplex(fractions[lead:], strides[lead:])
        n = device.shape[1]
        values, slopes = np.zeros((len(self.columns), n)), np.zeros((len(self.columns), axes, n))
        for ends in product((0, 1), repeat=lead):
            shares = [fraction if end else 1 - fraction for fraction, end in zip(fractions, ends, strict=False)]
            weight = _product(shares)
            corner = base + sum(end * stride for end, stride in zip(ends, strides, strict=False))
            ways = [
                (1 if end else -1) * _product(shares[:axis] + shares[axis + 1 :]) for axis, end in enumerate(ends)
            ]  # what a leading axis adds, over the value at this corner
            for output, nodes in enumerate(self.columns):
                value, inner = simplex.look_up(nodes, corner)
                values[output] += weight * value
                for axis, way in enumerate(ways):
                    slopes[output, axis] += way * value
                for axis, slope in enumerate(inner):
                    slopes[output, lead + axis] += weight * slope
        for axis in range(axes):
            slopes[:, axis] *= scale[axis]
        return values, slopes


def _product(factors: list[FloatArray]) -> FloatArray:
    result = np.ones(1)
    for factor in factors:
        result = result * factor
    return result


class _Simplex:
    """Where points lie in the tetrahedra of the last three axes."""

    def __init__(self, fractions: list[FloatArray], strides: list[int]) -> None:
        x, y, z = fractions
        along_x, along_y, along_z = strides
        y_first, z_first, z_before_y = y > x, z > x, z > y
        self.fractions = fractions
        before_x = y_first * along_y + z_first * along_z
        before_y = ~y_first * along_x + z_before_y * along_z
        before_z = ~z_first * along_x + ~z_before_y * along_y
        self.ends: list[tuple[IntArray, IntArray]] = [
            (before, before + along) for before, along in ((before_x, along_x), (before_y, along_y), (before_z, along_z))
        ]

    def look_up(self, nodes: FloatArray, base: IntArray) -> tuple[FloatArray, list[FloatArray]]:
        value = nodes.take(base)
        slopes = []
        for (before, after), share in zip(self.ends, self.fractions, strict=True):
            slope = nodes.take(base + after) - nodes.take(base + before)
            value += share * slope
            slopes.append(slope)
        return value, slopes
