"""Interpolation in regular lattices of any number of axes.

A table has shape (g1, …, gk, outputs); positions are (n, k) in node units, 0 to g - 1, and are clipped to that range.
"""

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, IntArray

_BLOCK = 65536


def _cells(table: FloatArray, positions: FloatArray) -> tuple[IntArray, FloatArray, IntArray]:
    """Return the flat index of each lower corner (n,), the fractions (n, k) and the strides (k,) of a table."""
    axes = table.ndim - 1
    if positions.ndim != 2 or positions.shape[1] != axes:
        raise ShapeError(f"positions have shape {positions.shape}; expected (n, {axes}), the axes of the table")
    grid = np.array(table.shape[:-1], dtype=np.int64)
    inside = np.clip(positions, 0, grid - 1)
    corner = np.minimum(inside.astype(np.int64), np.maximum(grid - 2, 0))
    strides = np.append(np.cumprod(grid[::-1])[::-1][1:], 1).astype(np.int64)
    return corner @ strides, inside - corner, np.where(grid > 1, strides, 0)


def corner_weights(table_shape: tuple[int, ...], positions: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return flat node indices (n, 2**k) and n-linear weights (n, 2**k) of positions (n, k) in a lattice of table_shape (k)."""
    base, fraction, strides = _cells(np.empty((*table_shape, 0)), positions)
    indices, weights = base[:, None], np.ones((len(base), 1))
    for axis, stride in enumerate(strides):
        part = fraction[:, axis, None]
        indices = np.concatenate([indices, indices + stride], axis=1)
        weights = np.concatenate([weights * (1 - part), weights * part], axis=1)
    return indices, weights


def n_linear(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Interpolate linearly along every axis; returns (n, outputs)."""
    nodes = table.reshape(-1, table.shape[-1])
    result = np.empty((len(positions), table.shape[-1]))
    for start in range(0, len(positions), _BLOCK):
        block = slice(start, start + _BLOCK)
        indices, weights = corner_weights(table.shape[:-1], positions[block])
        result[block] = np.einsum("nc,nco->no", weights, nodes[indices])
    return result


def tetrahedral(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Interpolate in the simplex of each cell that holds the position, axes ordered by falling fraction; (n, outputs).

    With three axes this is tetrahedral interpolation.
    """
    nodes = table.reshape(-1, table.shape[-1])
    result = np.empty((len(positions), table.shape[-1]))
    for start in range(0, len(positions), _BLOCK):
        block = slice(start, start + _BLOCK)
        base, fraction, strides = _cells(table, positions[block])
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
        result[block] = value
    return result


def tetrahedral_with_slopes(table: FloatArray, positions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return tetrahedral values (n, outputs) and their slopes (n, outputs, k) per node unit along each axis."""
    nodes = table.reshape(-1, table.shape[-1])
    base, fraction, strides = _cells(table, positions)
    order = np.argsort(-fraction, axis=1, kind="stable")
    falling = np.take_along_axis(fraction, order, axis=1)
    previous = nodes[base]
    value = previous.copy()
    slopes = np.empty((len(base), table.shape[-1], len(strides)))
    rows = np.arange(len(base))
    index = base
    for axis in range(len(strides)):
        index = index + strides[order[:, axis]]
        current = nodes[index]
        step = current - previous
        value += falling[:, axis, None] * step
        slopes[rows, :, order[:, axis]] = step
        previous = current
    return value, slopes


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
