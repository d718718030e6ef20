"""Which patch goes to which place: shuffled from the seed, repeats far apart, neighbours in a strip unlike each other."""

import numpy as np

from spectro.chart.patches import PatchChoice
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray

WANTED_STEP = 12.0
"""Predicted ΔE00 wanted between neighbours in a strip, so that a reader sees where one ends (common practice)."""

_TRIES = 48  # places tried for a patch that is too like its neighbour
_ROUNDS = 12


def order_patches(choice: PatchChoice, lab: FloatArray, rows: int, seed: int) -> IntArray:
    """Return which distinct patch stands in each place (places,), in reading order.

    lab: (n, 3) predicted colours of the distinct patches. rows: places in a strip. The places are cut into as many
    runs as a patch is printed times, and each printing falls into another run: on several pages they lie on different
    pages, on one in different parts. Deterministic in the seed.
    """
    generator = np.random.default_rng([seed, 1])
    order, run, runs = _shuffled(choice, generator)
    return _unlike_neighbours(order, run, runs, lab, rows, generator)


def _shuffled(choice: PatchChoice, generator: np.random.Generator) -> tuple[IntArray, IntArray, IntArray]:
    """Return patch and run of each place, and per distinct patch the number of runs it must keep to (0: free)."""
    places = int(choice.times.sum())
    copies = int(choice.times.max())
    runs = np.where(choice.times > 1, copies, 0)
    order = np.full(places, -1, dtype=np.int64)
    run = np.arange(places) * copies // places
    repeated = np.flatnonzero(choice.times > 1)
    for index in range(copies if len(repeated) else 0):
        free = np.flatnonzero(run == index)
        order[generator.choice(free, size=len(repeated), replace=False)] = generator.permutation(repeated)
    order[order < 0] = generator.permutation(np.flatnonzero(choice.times == 1))
    return order, run, runs


def _unlike_neighbours(
    order: IntArray, run: IntArray, runs: IntArray, lab: FloatArray, rows: int, generator: np.random.Generator
) -> IntArray:
    """Swap patches that are too like a neighbour with others, while that makes the worse of the two places better."""
    order = order.copy()
    places = len(order)
    for _ in range(_ROUNDS):
        weak = np.flatnonzero(_place_steps(order, lab, rows, np.arange(places)) < WANTED_STEP)
        if len(weak) == 0:
            break
        for place in weak.tolist():
            others = generator.integers(0, places, size=_TRIES)
            bound = runs[order[place]] > 0
            allowed = np.where(bound | (runs[order[others]] > 0), run[others] == run[place], True)
            others = others[allowed & (np.abs(others - place) > 1)]
            if len(others):
                _best_swap(order, lab, rows, place, others)
    return order


def _best_swap(order: IntArray, lab: FloatArray, rows: int, place: int, others: IntArray) -> None:
    """Swap the patch at place with that of the other place which leaves both best, if that is better than now."""
    here = np.full(len(others), place)
    now = np.minimum(_place_steps(order, lab, rows, here[:1])[0], _place_steps(order, lab, rows, others))
    then = np.minimum(_place_steps(order, lab, rows, here, order[others]), _place_steps(order, lab, rows, others, order[here]))
    then, now = np.minimum(then, WANTED_STEP), np.minimum(now, WANTED_STEP)
    best = int((then - now).argmax())
    if then[best] > now[best]:
        other = others[best]
        order[place], order[other] = order[other], order[place]


def _place_steps(order: IntArray, lab: FloatArray, rows: int, places: IntArray, patches: IntArray | None = None) -> FloatArray:
    """Return the smaller predicted ΔE00 (k,) to the neighbours in the strip of places, as if patches stood there."""
    own = lab[order[places] if patches is None else patches]
    last = len(order) - 1
    before = places % rows > 0
    after = (places % rows < rows - 1) & (places < last)
    step_before = delta_e_2000(own, lab[order[np.maximum(places - 1, 0)]])
    step_after = delta_e_2000(own, lab[order[np.minimum(places + 1, last)]])
    smaller = np.minimum(np.where(before, step_before, np.inf), np.where(after, step_after, np.inf))
    return np.asarray(smaller)


def smallest_step(order: IntArray, lab: FloatArray, rows: int) -> float:
    """Return the smallest predicted ΔE00 between neighbours in a strip; the order's own row numbers, rows a strip."""
    steps = _place_steps(order, lab, rows, np.arange(len(order)))
    return float(steps.min())
