"""Conjugate gradients for several right-hand sides at once, with the diagonal as preconditioner."""

from typing import Any

from spectro.records.arrays import FloatArray

MOST_STEPS = 400


def solve_conjugate_gradient(matrix: Any, right: FloatArray, start: FloatArray, *, tolerance: float = 1e-7) -> FloatArray:
    """Solve matrix @ x = right for x (n, columns), from start.

    matrix: symmetric, positive definite (n, n), sparse or anything with `@` and `diagonal()`; the latter may hold one column
        a right-hand side, where `@` treats columns each in its own way. Stops when every column's residual has fallen below
    tolerance times its right-hand side, or after MOST_STEPS iterations: the answer is then the best found so far.
    """
    diagonal = matrix.diagonal()
    diagonal = diagonal[:, None] if diagonal.ndim == 1 else diagonal
    x = start.copy()
    residual = right - matrix @ x
    goal = tolerance**2 * (right**2).sum(axis=0)
    direction = residual / diagonal
    product = (residual * direction).sum(axis=0)
    for _ in range(MOST_STEPS):
        active = (residual**2).sum(axis=0) > goal
        if not active.any():
            break
        image = matrix @ direction
        curvature = (direction * image).sum(axis=0)
        length = product * active / (curvature + ~active)
        x += length * direction
        residual -= length * image
        scaled = residual / diagonal
        following = (residual * scaled).sum(axis=0)
        direction = scaled + following / (product + ~active) * direction
        product = following
    return x
