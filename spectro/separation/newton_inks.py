"""Damped Gauss-Newton steps towards the inks of colours, all colours of a block at once, each ink held within its range.

For a colour t, inks d with the table's colour f(d), a metric M of differences, aims a of some inks with weights l, and the
total limit T, what is made least is

    (f(d) - t)' M (f(d) - t) + sum of l (d - a)² + h max(0, sum of d - T)²

Everything is kept by columns: numbers of one kind beside each other in memory.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.slopes import SlopedLattice
from spectro.records.arrays import AnyArray, BoolArray, FloatArray

OVER = 4e5  # h: a total 0.1 % above the limit counts as much as ΔE 0.6
STILL = 1e-6  # of ink, below which a row has come to rest
_STEADY = 1e-3  # added to every ink's diagonal
_MOST_IDLE = 0.25  # share of rows at rest from which they are set aside


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkTask:
    """What is asked of a block of colours (n)."""

    wanted: FloatArray  # (3, n), Lab
    hue: FloatArray  # (3, n): what a*² counts, a* b*, and b*²; L*² counts 1
    aims: FloatArray  # (c, n), inks aimed at
    total: float
    ceilings: FloatArray  # (c,)

    def of(self, rows: AnyArray) -> "InkTask":
        """Return the task of some rows."""
        return InkTask(
            wanted=self.wanted[:, rows],
            hue=self.hue[:, rows],
            aims=self.aims[:, rows],
            total=self.total,
            ceilings=self.ceilings,
        )


def hue_metric(lab: FloatArray, hue: float) -> FloatArray:
    """Return what differences to Lab (3, n) count, (3, n) as in `InkTask`: those of hue `hue` times, fading towards grey."""
    chroma = np.hypot(lab[1], lab[2])
    across = 1 + (hue**2 - 1) * chroma**2 / (chroma**2 + 16)
    cosine = np.where(chroma > 1e-9, lab[1] / np.maximum(chroma, 1e-9), 1.0)
    sine = lab[2] / np.maximum(chroma, 1e-9)
    return np.stack([cosine**2 + across * sine**2, (1 - across) * cosine * sine, sine**2 + across * cosine**2])


def nearest_inks(
    lattice: SlopedLattice, task: InkTask, weights: FloatArray, start: FloatArray, steps: int
) -> tuple[FloatArray, FloatArray]:
    """Return inks (c, n) near start (c, n), and the distance left in Lab (n,).

    weights: (c,), l of the aims. steps: after which it stops at the latest.
    """
    result, left = start.copy(), np.empty(start.shape[1])
    rows, device = np.arange(start.shape[1]), start.copy()
    state = _State.of(lattice, task, weights, device)
    damping, live = np.full(len(rows), 1e-2), np.ones(len(rows), dtype=np.bool_)
    for _ in range(steps):
        trial = device + _step(task, weights, device, state, damping)
        np.clip(trial, 0, task.ceilings[:, None], out=trial)
        tried = _State.of(lattice, task, weights, trial)
        moved = np.abs(trial - device).max(axis=0)
        better = (tried.cost < state.cost) & live
        np.copyto(device, trial, where=better)
        state.take(tried, better)
        damping = np.clip(damping * np.where(better, 0.3, 6.0), 1e-7, 1e7)
        live &= moved > STILL
        if np.count_nonzero(live) < (1 - _MOST_IDLE) * len(rows):
            result[:, rows], left[rows] = device, state.left()
            rows, device, task, state, damping = rows[live], device[:, live], task.of(live), state.of_rows(live), damping[live]
            live = live[live]
            if not len(rows):
                break
    result[:, rows], left[rows] = device, state.left()
    return result, left


@dataclass(slots=True)
class _State:
    """What is known at device values: the colours' differences, slopes, and what all costs."""

    difference: FloatArray  # (3, n)
    slopes: FloatArray  # (3, c, n)
    cost: FloatArray  # (n,)

    @classmethod
    def of(cls, lattice: SlopedLattice, task: InkTask, weights: FloatArray, device: FloatArray) -> "_State":
        values, slopes = lattice.values_and_slopes(device)
        values -= task.wanted
        lightness, a, b = values
        first, mixed, second = task.hue
        cost = lightness**2 + first * a * a + 2 * mixed * a * b + second * b * b
        for ink in np.flatnonzero(weights):
            cost += weights[ink] * (device[ink] - task.aims[ink]) ** 2
        over = np.maximum(device.sum(axis=0) - task.total, 0)
        cost += OVER * over * over
        return cls(values, slopes, cost)

    def take(self, other: "_State", where: BoolArray) -> None:
        np.copyto(self.difference, other.difference, where=where)
        np.copyto(self.slopes, other.slopes, where=where)
        np.copyto(self.cost, other.cost, where=where)

    def of_rows(self, rows: BoolArray) -> "_State":
        return _State(self.difference[:, rows], self.slopes[:, :, rows], self.cost[rows])

    def left(self) -> FloatArray:
        found: FloatArray = np.sqrt((self.difference**2).sum(axis=0))
        return found


def _step(task: InkTask, weights: FloatArray, device: FloatArray, state: _State, damping: FloatArray) -> FloatArray:
    """Return one damped Gauss-Newton step (c, n); an ink at an end that would leave its range is held."""
    inks = len(device)
    first, mixed, second = task.hue
    ways = [state.slopes[:, ink] for ink in range(inks)]
    weighed = [(way[0], first * way[1] + mixed * way[2], mixed * way[1] + second * way[2]) for way in ways]
    over = device.sum(axis=0) - task.total
    tight = OVER * (over > 0)
    pressed = tight * over
    gradient = [
        dot(weighed[ink], state.difference) + weights[ink] * (device[ink] - task.aims[ink]) + pressed for ink in range(inks)
    ]
    held = [
        ((device[ink] <= 0) & (gradient[ink] > 0)) | ((device[ink] >= task.ceilings[ink]) & (gradient[ink] < 0))
        for ink in range(inks)
    ]
    matrix: list[list[FloatArray]] = []
    for p in range(inks):
        diagonal = (dot(weighed[p], ways[p]) + weights[p] + tight) * (1 + damping) + _STEADY
        row = [np.where(held[p], 1.0, diagonal)]
        row += [np.where(held[p] | held[q], 0.0, dot(weighed[p], ways[q]) + tight) for q in range(p + 1, inks)]
        matrix.append(row)
    return solve_symmetric(matrix, [np.where(still, 0.0, -slope) for still, slope in zip(held, gradient, strict=True)])


def solve_symmetric(matrix: list[list[FloatArray]], right: list[FloatArray]) -> FloatArray:
    """Return the solutions (c, n) of n symmetric positive definite systems; matrix: rows from the diagonal on, (n,) each.

    >>> solve_symmetric([[np.array([2.0]), np.array([1.0])], [np.array([3.0])]], [np.array([4.0]), np.array([7.0])]).tolist()
    [[1.0], [2.0]]
    """
    inks = len(matrix)
    for p in range(inks):
        for q in range(p + 1, inks):
            factor = matrix[p][q - p] / matrix[p][0]
            for r in range(q, inks):
                matrix[q][r - q] = matrix[q][r - q] - factor * matrix[p][r - p]
            right[q] = right[q] - factor * right[p]
    solution: list[FloatArray] = list(right)
    for p in reversed(range(inks)):
        for q in range(p + 1, inks):
            solution[p] = solution[p] - matrix[p][q - p] * solution[q]
        solution[p] = solution[p] / matrix[p][0]
    return np.stack(solution)


def dot(first: tuple[FloatArray, ...] | FloatArray, second: tuple[FloatArray, ...] | FloatArray) -> FloatArray:
    """Return the inner products (n,) of two stacks of three arrays (n,)."""
    found: FloatArray = first[0] * second[0]
    found += first[1] * second[1]
    found += first[2] * second[2]
    return found
