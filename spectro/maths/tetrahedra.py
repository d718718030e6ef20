"""Tetrahedral interpolation in lattices of three axes, by columns: each number of all rows at once, without sorting.

Reference: the simplex that holds a point is that of its axes ordered by falling fraction; on a tie the lower axis comes first.
"""

import numpy as np

from spectro.records.arrays import FloatArray, IntArray


def cells(grid: tuple[int, ...], positions: FloatArray) -> tuple[IntArray, list[FloatArray], list[int]]:
    """Return the flat index (n,) of each lower corner, its fractions and its strides, one an axis; 0 where that has one node.

    grid: grid points per axis. positions: (n, axes) in node units, clipped to the lattice.
    """
    base = np.zeros(len(positions), dtype=np.intp)
    fractions, strides = [], []
    stride = int(np.prod(grid))
    for axis, nodes in enumerate(grid):
        stride //= nodes
        inside = np.clip(positions[:, axis], 0, nodes - 1)
        corner = inside.astype(np.intp)
        np.minimum(corner, max(nodes - 2, 0), out=corner)
        fractions.append(inside - corner)
        base += corner * stride
        strides.append(stride if nodes > 1 else 0)
    return base, fractions, strides


def sorted_cells(grid: tuple[int, ...], positions: FloatArray) -> tuple[IntArray, IntArray, IntArray, list[FloatArray]]:
    """Return points in the order of their cells: that order (n,), where each cell's points begin (k,), its corner, fractions.

    corner: (k,), flat index of the cell's lower corner. fractions: (n,) one an axis, in that order. The rest as `cells`.
    """
    base, fractions, _ = cells(grid, positions)
    order = np.argsort(base, kind="stable")
    base = base[order]
    starts = np.flatnonzero(np.concatenate([[True], base[1:] != base[:-1]]))
    return order, starts, base[starts], [fraction[order] for fraction in fractions]


def tetrahedral_columns(table: FloatArray, positions: FloatArray) -> FloatArray:
    """Return interpolated values (outputs, n) of positions (n, 3), in node units, in a table (g1, g2, g3, outputs)."""
    (base, second, third, fourth), (largest, middle, least) = _tetrahedra(table.shape[:3], positions)
    result = np.empty((table.shape[3], len(positions)))
    for output, nodes in enumerate(columns_of(table)):
        at, ahead = nodes.take(base), nodes.take(second)
        value = result[output]
        np.copyto(value, at)
        for share, following in ((largest, None), (middle, third), (least, fourth)):
            if following is not None:
                at, ahead = ahead, nodes.take(following)
            step = ahead - at
            step *= share
            value += step
    return result


def tetrahedral_weights(grid: tuple[int, ...], positions: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return the flat indices (n, 4) of the nodes around positions (n, 3), in node units, and their weights (n, 4).

    >>> nodes, weights = tetrahedral_weights((2, 2, 2), np.array([[0.5, 0.25, 0.0]]))
    >>> nodes.tolist(), weights.tolist()
    ([[0, 4, 6, 7]], [[0.5, 0.25, 0.25, 0.0]])
    """
    nodes, (largest, middle, least) = _tetrahedra(grid, positions)
    return np.column_stack(nodes), np.column_stack([1 - largest, largest - middle, middle - least, least])


def _tetrahedra(grid: tuple[int, ...], positions: FloatArray) -> tuple[tuple[IntArray, ...], tuple[FloatArray, ...]]:
    """Return the four nodes around positions (n, 3), from the lower corner to the upper one, and the fractions, falling."""
    base, (x, y, z), (along_x, along_y, along_z) = cells(grid, positions)
    far = along_x + along_y + along_z
    first = np.where((x >= y) & (x >= z), along_x, np.where(y >= z, along_y, along_z))
    last = np.where((z <= y) & (z <= x), along_z, np.where(y <= x, along_y, along_x))
    low_xy, high_xy = np.minimum(x, y), np.maximum(x, y)
    fractions = (np.maximum(high_xy, z), np.maximum(low_xy, np.minimum(high_xy, z)), np.minimum(low_xy, z))
    return (base, base + first, base + far - last, base + far), fractions


def tetrahedral_slope_columns(table: FloatArray, positions: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return values (outputs, n) as `tetrahedral_columns` and their slopes (outputs, 3, n) per node unit along each axis."""
    base, (x, y, z), (along_x, along_y, along_z) = cells(table.shape[:3], positions)
    y_first, z_first, z_before_y = y > x, z > x, z > y
    before_x = base + y_first * along_y + z_first * along_z
    before_y = base + ~y_first * along_x + z_before_y * along_z
    before_z = base + ~z_first * along_x + ~z_before_y * along_y
    ends = [(before, before + along) for before, along in ((before_x, along_x), (before_y, along_y), (before_z, along_z))]
    outputs = table.shape[3]
    values, slopes = np.empty((outputs, len(positions))), np.empty((outputs, 3, len(positions)))
    for output, nodes in enumerate(columns_of(table)):
        value = values[output]
        np.take(nodes, base, out=value)
        for axis, ((before, after), share) in enumerate(zip(ends, (x, y, z), strict=True)):
            slope = slopes[output, axis]
            np.subtract(nodes.take(after), nodes.take(before), out=slope)
            value += share * slope
    return values, slopes


def columns_of(table: FloatArray) -> FloatArray:
    """Return a table (…, outputs) as columns (outputs, nodes), each of them one piece of memory."""
    return np.ascontiguousarray(table.reshape(-1, table.shape[-1]).T)
