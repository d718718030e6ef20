"""Symmetric matrices over the nodes of a lattice of three axes, kept as stencils: what couples a node to those around it.

A stencil has shape (33, g1, g2, g3): for each of OFFSETS, what couples every node to the node that lies so far away. Filling
one takes a small part of the time that products of sparse matrices take.
"""

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from scipy import sparse

from spectro.maths.tetrahedra import sorted_cells
from spectro.records.arrays import AnyArray, BoolArray, FloatArray, IntArray

_SECOND = [tuple(sign * 2 * (axis == one) for axis in range(3)) for one in range(3) for sign in (-1, 1)]
OFFSETS = tuple(sorted([*product((-1, 0, 1), repeat=3), *_SECOND]))
"""The 27 nodes of the cells around a node and the second ones along each axis."""
_NUMBER = {offset: number for number, offset in enumerate(OFFSETS)}
_COUPLINGS = {0: ((0, 0),), 1: ((0, 1), (1, -1)), 2: ((1, 0),)}
"""Along an axis, by how many of two corners are the upper one: the first corner, and the way from it to the second."""


def roughness_stencil(grid: tuple[int, int, int]) -> FloatArray:
    """Return the stencil of R with x' R x = the sum of squared second differences along every axis of a lattice.

    Reference: [Garcia-Gupta-2010], the thin-plate form of the regulariser, here without its mixed terms.
    """
    stencil = np.zeros((len(OFFSETS), *grid))
    for axis, nodes in enumerate(grid):
        bends = np.diff(np.eye(nodes), n=2, axis=0) if nodes > 2 else np.zeros((0, nodes))
        square = bends.T @ bends
        shape = [nodes if axis == other else 1 for other in range(3)]
        for way in range(-2, 3):
            along = np.zeros(nodes)
            rows = np.arange(max(0, -way), min(nodes, nodes - way))
            along[rows] = square[rows, rows + way]
            stencil[_NUMBER[tuple(way * (axis == other) for other in range(3))]] += along.reshape(shape)
    return stencil


def diagonal_stencil(values: FloatArray) -> FloatArray:
    """Return the stencil of a diagonal matrix of values (g1, g2, g3)."""
    stencil = np.zeros((len(OFFSETS), *values.shape))
    stencil[_NUMBER[0, 0, 0]] = values
    return stencil


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InterpolationCells:
    """Points in the cells of a lattice, in the order of their cells: what is prepared once for `gram_stencil`."""

    grid: tuple[int, int, int]
    order: IntArray  # (n,), of the points
    starts: IntArray  # (k,), where each cell's points begin
    corners: IntArray  # (k,), flat index of each cell's lower corner
    moments: tuple[tuple[FloatArray, ...], ...]  # an axis, by how many corners are upper: products (n,) of two weights


def interpolation_cells(grid: tuple[int, int, int], positions: FloatArray) -> InterpolationCells:
    """Return what `gram_stencil` needs of points at positions (n, 3), n 1 or more, in node units."""
    order, starts, corners, parts = sorted_cells(grid, positions)
    moments = []
    for part in parts:
        rest = 1 - part
        moments.append((rest * rest, rest * part, part * part))
    return InterpolationCells(grid=grid, order=order, starts=starts, corners=corners, moments=tuple(moments))


def gram_stencil(points: InterpolationCells, weight: FloatArray) -> FloatArray:
    """Return the stencil of A' W A, where A interpolates linearly along every axis at the points, and W holds weights (n,)."""
    stencil = np.zeros((len(OFFSETS), *points.grid))
    flat = stencil.reshape(len(OFFSETS), -1)
    _, second, third = points.grid
    strides = (second * third, third, 1)
    sums = np.zeros(flat.shape[1])
    weighed = weight[points.order]
    first_moments, second_moments, third_moments = points.moments
    for i, first_moment in enumerate(first_moments):
        along_first = weighed * first_moment
        for j, second_moment in enumerate(second_moments):
            along_both = along_first * second_moment
            for k, third_moment in enumerate(third_moments):
                sums[points.corners] = np.add.reduceat(along_both * third_moment, points.starts)
                for couplings in product(_COUPLINGS[i], _COUPLINGS[j], _COUPLINGS[k]):
                    shift = sum(step * stride for (step, _), stride in zip(couplings, strides, strict=True))
                    flat[_NUMBER[tuple(way for _, way in couplings)], shift:] += sums[: len(sums) - shift]
    return stencil


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StencilPattern:
    """Where stencils of one kind are not zero, for making sparse matrices of them."""

    places: IntArray  # (k,), in the flat stencil, node after node
    columns: AnyArray  # (k,)
    starts: AnyArray  # (nodes + 1,)

    def matrix(self, stencil: FloatArray) -> Any:
        """Return the sparse matrix (nodes, nodes) of a stencil that is zero outside the pattern."""
        nodes = len(self.starts) - 1
        return sparse.csr_array((stencil.ravel().take(self.places), self.columns, self.starts), shape=(nodes, nodes))


def stencil_pattern(filled: BoolArray) -> StencilPattern:
    """Return the pattern of stencils that are not zero where filled (33, g1, g2, g3) says."""
    _, _, second, third = filled.shape
    nodes = filled[0].size
    ways = np.array(OFFSETS) @ (second * third, third, 1)
    node, number = np.nonzero(filled.reshape(len(OFFSETS), nodes).T)
    starts = np.concatenate([[0], np.cumsum(np.bincount(node, minlength=nodes))])
    return StencilPattern(
        places=number * nodes + node, columns=(node + ways[number]).astype(np.int32), starts=starts.astype(np.int32)
    )
