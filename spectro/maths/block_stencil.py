"""Symmetric matrices over the nodes of a lattice of three axes whose outputs are coupled: a block for every pair of nodes.

The sum over points of w w' W, w the eight weights of a point in its cell and W the point's own matrix of outputs, is what a
fit adds up whose outputs may stand in for each other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from scipy import sparse

from spectro.maths.conjugate_gradient import MOST_STEPS
from spectro.maths.row_blocks import together
from spectro.maths.tetrahedra import sorted_cells
from spectro.records.arrays import FloatArray, IntArray

_OFFSETS = tuple(product((-1, 0, 1), repeat=3))
_NUMBER = {offset: number for number, offset in enumerate(_OFFSETS)}
_COUPLINGS = {0: ((0, 0),), 1: ((0, 1), (1, -1)), 2: ((1, 0),)}
"""Along an axis, by how many of two corners are the upper one: the first corner, and the way from it to the second."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellMoments:
    """Points in the cells of a lattice, in the order of their cells, with the products of their weights."""

    grid: tuple[int, int, int]
    order: IntArray  # (n,), of the points
    starts: IntArray  # (k + 1,), where each cell's points begin
    corners: IntArray  # (k,), flat index of each cell's lower corner
    moments: FloatArray  # (n, 27), in that order


def cell_moments(grid: tuple[int, int, int], positions: FloatArray) -> CellMoments:
    """Return what `block_stencil` needs of points at positions (n, 3), n 1 or more, in node units."""
    order, firsts, corners, parts = sorted_cells(grid, positions)
    along = [np.stack([(1 - part) ** 2, (1 - part) * part, part * part], axis=1) for part in parts]
    moments = np.einsum("ni,nj,nk->nijk", *along).reshape(len(order), 27)
    return CellMoments(grid=grid, order=order, starts=np.append(firsts, len(order)), corners=corners, moments=moments)


def block_stencil(points: CellMoments, weights: FloatArray) -> FloatArray:
    """Return the stencil (pairs, 27, nodes) of points with weights (pairs, n): the upper triangle of W, row by row.

    For each pair of outputs and each of 27 offsets, it holds what couples every node to the node that lies so far away.
    """
    nodes = int(np.prod(points.grid))
    stencil = np.zeros((len(weights), 27, nodes))
    columns = np.arange(len(points.order))
    shape = (len(points.corners), len(points.order))

    def fill(number: int) -> None:
        of_cells = sparse.csr_array((weights[number][points.order], columns, points.starts), shape=shape)
        _spread(points, np.ascontiguousarray((of_cells @ points.moments).T), stencil[number])

    together(fill, range(len(weights)))
    return stencil


def outputs_of(pairs: int) -> int:
    """Return how many outputs have so many pairs, each with itself among them.

    >>> outputs_of(10)
    4
    """
    return int((np.sqrt(8 * pairs + 1) - 1) / 2)


def _pairs(outputs: int) -> list[tuple[int, int]]:
    return [(p, q) for p in range(outputs) for q in range(p, outputs)]


def own_diagonal(stencil: FloatArray) -> FloatArray:
    """Return what couples every node to itself in each output, (nodes, outputs), of a stencil (pairs, 27, nodes)."""
    own = [number for number, (p, q) in enumerate(_pairs(outputs_of(len(stencil)))) if p == q]
    return np.ascontiguousarray(stencil[own, _NUMBER[0, 0, 0]].T)


def _spread(points: CellMoments, sums: FloatArray, filled: FloatArray) -> None:
    """Add the sums (27, cells) of moments to a stencil (27, nodes), in place."""
    _, second, third = points.grid
    strides = (second * third, third, 1)
    for number, kinds in enumerate(product((0, 1, 2), repeat=3)):
        here = sums[number]
        for couplings in product(*(_COUPLINGS[kind] for kind in kinds)):
            shift = sum(corner * stride for (corner, _), stride in zip(couplings, strides, strict=True))
            filled[_NUMBER[tuple(way for _, way in couplings)], points.corners + shift] += here


def weighted_roughness(weights: FloatArray, places: Sequence[FloatArray]) -> Any:
    """Return the sparse R (nodes, nodes) with x' R x = the sum of weights times the squared bends at nodes.

    weights: (g1, g2, g3), of the node in the middle of each bend. places: of the nodes along each axis. A bend is how far the
    values are from a straight line over the places, in units of second differences of even ones: what is straight over the
    places has none, however uneven they are. Reference: [Garcia-Gupta-2010], without mixed terms.
    """
    total: Any = 0
    for axis, nodes in enumerate(weights.shape):
        parts = [sparse.eye_array(count) for count in weights.shape]
        parts[axis] = _bends(places[axis])
        along = sparse.kron(sparse.kron(parts[0], parts[1]), parts[2]).tocsr()
        middle = weights.take(range(1, nodes - 1), axis=axis).ravel()
        total = total + along.T @ (sparse.diags_array(middle) @ along)
    return total.tocsr()


def _bends(places: FloatArray) -> Any:
    gaps = np.diff(places)
    below, above = gaps[:-1], gaps[1:]
    both = below + above
    rows = [2 * above / both, np.full(len(both), -2.0), 2 * below / both]
    return sparse.diags_array(rows, offsets=[0, 1, 2], shape=(len(both), len(places)))


class BlockMatrix:
    """The matrix (nodes · outputs)² of a stencil plus the same symmetric matrix for every output, for conjugate gradients."""

    def __init__(self, stencil: FloatArray, plain: Any, grid: tuple[int, int, int]) -> None:
        """Build the matrix. stencil: (pairs, 27, nodes). plain: sparse (nodes, nodes), added for each output alike."""
        self._plain = plain
        outputs, nodes = outputs_of(len(stencil)), stencil.shape[2]
        pairs = _pairs(outputs)
        _, second, third = grid
        ways = np.array(_OFFSETS) @ (second * third, third, 1)
        present = sum(stencil[number] for number, (p, q) in enumerate(pairs) if p == q)
        node, number = np.nonzero(np.asarray(present).T)
        starts = np.concatenate([[0], np.cumsum(np.bincount(node, minlength=nodes))])
        blocks, own = np.empty((len(node), outputs, outputs)), np.empty((nodes, outputs, outputs))
        flat = number * nodes + node
        for (p, q), one in zip(pairs, stencil, strict=True):
            blocks[:, p, q] = blocks[:, q, p] = one.ravel()[flat]
            own[:, p, q] = own[:, q, p] = one[_NUMBER[0, 0, 0]]
        size = nodes * outputs
        self._blocks = sparse.bsr_array((blocks, node + ways[number], starts), shape=(size, size))
        own[:, np.arange(outputs), np.arange(outputs)] += plain.diagonal()[:, None]
        self._inverse = np.linalg.inv(own)

    def __matmul__(self, x: FloatArray) -> FloatArray:
        """Return the product with x (nodes, outputs)."""
        product_: FloatArray = (self._blocks @ x.ravel()).reshape(x.shape) + self._plain @ x
        return product_

    def preconditioned(self, x: FloatArray) -> FloatArray:
        """Return x (nodes, outputs) times the inverse of every node's own block."""
        found: FloatArray = np.matmul(self._inverse, x[..., None])[..., 0]
        return found


def solve_blocks(
    matrix: BlockMatrix, right: FloatArray, start: FloatArray, *, tolerance: float = 1e-5
) -> tuple[FloatArray, int]:
    """Solve matrix @ x = right for x (nodes, outputs) from start by conjugate gradients; return it and the steps taken.

    Stops when the residual, by the preconditioner, has fallen below tolerance times that of the right-hand side.
    """
    x = start.copy()
    residual = right - matrix @ x
    scaled = matrix.preconditioned(residual)
    product_ = float((residual * scaled).sum())
    goal = tolerance**2 * float((right * matrix.preconditioned(right)).sum())
    direction = scaled
    for step in range(MOST_STEPS):
        if product_ <= goal:
            return x, step
        image = matrix @ direction
        length = product_ / float((direction * image).sum())
        x += length * direction
        residual -= length * image
        scaled = matrix.preconditioned(residual)
        following = float((residual * scaled).sum())
        direction = scaled + following / product_ * direction
        product_ = following
    return x, MOST_STEPS
