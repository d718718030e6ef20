"""Second differences of lattices as sparse matrices: the smoothness term of a fitted table.

Reference: [Garcia-Gupta-2010], the thin-plate form of the regulariser, here without its mixed terms.
"""

from typing import Any

import numpy as np
from scipy import sparse


def second_differences(nodes: int) -> Any:
    """Return the sparse (nodes - 2, nodes) matrix of second differences along one axis."""
    ones = np.ones(nodes)
    return sparse.diags_array([ones[2:], -2 * ones[1:-1], ones[:-2]], offsets=[0, 1, 2], shape=(nodes - 2, nodes))


def roughness_matrix(grid: tuple[int, ...]) -> Any:
    """Return the sparse matrix R with x' R x = the sum of squared second differences along every axis of a lattice."""
    total = None
    for axis, nodes in enumerate(grid):
        product = sparse.eye_array(1)
        for other, count in enumerate(grid):
            factor = second_differences(nodes) if other == axis else sparse.eye_array(count)
            product = sparse.kron(product, factor, format="csr")
        part = product.T @ product
        total = part if total is None else total + part
    return sparse.csr_array(total)
