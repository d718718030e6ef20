"""Interpolation in regular lattices of any number of axes.

A table has shape (g1, …, gk, outputs); positions are (n, k) in node units, 0 to g - 1, and are clipped to that range.
"""

import numpy as np

from spectro.errors import ShapeError
from spectro.maths.row_blocks import in_row_blocks
from spectro.maths.tetrahedra import cells, columns_of, tetrahedral_columns, tetrahedral_slope_columns
from spectro.records.arrays import FloatArray, IntArray

_BLOCK = 32768


def _checked(table: FloatArray, positions: FloatArray) -> None:
    axes = table.ndim - 1
    if positions.ndim != 2 or positions.shape[1] != axes:
        raise ShapeError(f"positions have shape {positions.shape}; expected (n, {axes}), the axes of the table")


def corner_weights(table_shape: tuple[int, ...], positions: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return flat node indices (n, 2**k) and n-linear weights (n, 2**k) of positions (n, k) in a lattice of table_shape (k)."""
    base, fractions, strides = cells(table_shape, positions)
    corners = 2 ** len(table_shape)
    indices, weights = np.empty((len(base), corners), dtype=np.int64), np.empty((len(base), corners))
    for corner, (index, weight) in enumerate(_corners(base, fractions, strides)):
        indices[:, corner], weights[:, corner] = index, weight
    return indices, weights


def _corners(base: IntArray, fractions: list[FloatArray], strides: list[int]) -> list[tuple[IntArray, FloatArray]]:
    """Return index (n,) and weight (n,) of every corner of cells, the first axis changing first."""
    found = [(base, np.ones(len(base)))]
    for part, stride in zip(fractions, strides, strict=True):
        rest = 1 - part
        found = [(index, weight * rest) for index, weight in found] + [
            (index + stride, weight * part) for index, weight in found
        ]
    return found


def n_linear(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Interpolate linearly along every axis; returns (n, outputs)."""
    _checked(table, positions)
    columns = columns_of(table)
    result = np.empty((len(positions), table.shape[-1]))
    for start in range(0, len(positions), _BLOCK):
        block = slice(start, start + _BLOCK)
        corners = _corners(*cells(table.shape[:-1], positions[block]))
        for output, nodes in enumerate(columns):
            result[block, output] = sum(weight * nodes.take(index) for index, weight in corners)
    return result


def tetrahedral(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Interpolate in the simplex of each cell that holds the position, axes ordered by falling fraction; (n, outputs).

    With three axes this is tetrahedral interpolation.
    """
    _checked(table, positions)
    look_up = tetrahedral_columns if table.ndim == 4 else _simplex_columns
    return np.concatenate(in_row_blocks(lambda rows: np.ascontiguousarray(look_up(table, rows).T), (positions,), _BLOCK))


def _simplex_columns(table: FloatArray, positions: FloatArray) -> FloatArray:
    """As `tetrahedral_columns`, with any number of axes."""
    nodes = table.reshape(-1, table.shape[-1])
    base, fractions, steps = cells(table.shape[:-1], positions)
    fraction, strides = np.column_stack(fractions), np.array(steps)
    order = np.argsort(-fraction, axis=1, kind="stable")
    falling = np.take_along_axis(fraction, order, axis=1)
    previous = nodes[base]
    value = previous.copy()
    index = base
    for axis in range(len(strides)):
        index = index + strides[order[:, axis]]
        current = nodes[index]
        value += falling[:, axis, None] * (current - previous)
        previous = current
    columns: FloatArray = value.T
    return columns


def tetrahedral_with_slopes(table: FloatArray, positions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return tetrahedral values (n, outputs) of a table of three axes and their slopes (n, outputs, 3) per node unit."""
    _checked(table, positions)
    values, slopes = tetrahedral_slope_columns(table, positions)
    return np.ascontiguousarray(values.T), np.ascontiguousarray(np.moveaxis(slopes, -1, 0))


def linear_then_tetrahedral(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Interpolate linearly along all axes but the last three, tetrahedrally in those; returns (n, outputs).

    Tables of three axes or fewer are interpolated in the simplex (three) or linearly along each axis (one, two).
    """
    axes = table.ndim - 1
    if axes == 3:
        return tetrahedral(table, positions)
    if axes < 3:
        return n_linear(table, positions)
    lead = np.clip(positions[:, 0], 0, table.shape[0] - 1)
    lower = np.minimum(lead.astype(np.int64), max(table.shape[0] - 2, 0))
    fraction = lead - lower
    result = np.zeros((len(positions), table.shape[-1]))
    for node in np.unique(np.concatenate([lower, np.minimum(lower + 1, table.shape[0] - 1)])):
        weight = np.where(lower == node, 1 - fraction, np.where(lower + 1 == node, fraction, 0.0))
        rows = np.flatnonzero(weight)
        if len(rows):
            result[rows] += weight[rows, None] * linear_then_tetrahedral(table[node], positions[rows, 1:])
    return result
