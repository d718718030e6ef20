"""Which patch goes to which place: shuffled from the seed, repeats far apart, neighbours in a strip unlike each other."""

from dataclasses import dataclass

import numpy as np

from spectro.chart.patches import PatchChoice
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import BoolArray, FloatArray, IntArray

WANTED_STEP = 12.0
"""Predicted ΔE00 wanted between neighbours in a strip, so that a reader sees where one ends (common practice)."""

DIGITS = 6
"""Decimals of predicted ΔE00 that decide: the last digit must not, another processor rounds it otherwise."""

_TRIES = 48  # places tried for a patch that is too like its neighbour
_ROUNDS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Order:
    """Which printing stands in each place, in reading order, and between which places each has to stay."""

    patch: IntArray  # (places,) row of the distinct patch
    low: IntArray  # (places,) first place allowed to the printing that stands here
    high: IntArray  # (places,) the place behind the last one allowed

    def may_swap(self, place: int, others: IntArray) -> BoolArray:
        """Tell which of other places (k,) may change their printing with that of a place."""
        there = (self.low[others] <= place) & (place < self.high[others])
        return np.asarray(there & (self.low[place] <= others) & (others < self.high[place]))

    def swap(self, place: int, other: int) -> None:
        """Change the printings of two places, in place: an order is a worksheet until it is handed on."""
        for values in (self.patch, self.low, self.high):
            values[place], values[other] = values[other], values[place]


def shuffled(choice: PatchChoice, page_starts: IntArray, generator: np.random.Generator) -> Order:
    """Return a random order in which copies fall into different parts of the chart, anchors onto every page.

    page_starts: (pages + 1,), the first place of each page and the number of places. A patch with k copies is printed
    once in each of k + 1 even parts of the reading order; a page's mid-tones once in each of as many parts of the page.
    """
    places = int(choice.times.sum())
    bound: list[tuple[int, int, int]] = []  # low, high, patch
    for patch in np.flatnonzero(choice.copies > 0).tolist():
        parts = int(choice.copies[patch]) + 1
        bound += [(places * part // parts, places * (part + 1) // parts, patch) for part in range(parts)]
    for start, stop in zip(page_starts[:-1].tolist(), page_starts[1:].tolist(), strict=True):
        bound += [(start, stop, patch) for patch in choice.anchors.tolist()]
        for part in range(choice.evenness):
            cuts = [start + (stop - start) * edge // choice.evenness for edge in (part, part + 1)]
            bound.append((cuts[0], max(cuts[1], cuts[0] + 1), choice.mid_tone))
    order = Order(
        patch=np.full(places, -1, dtype=np.int64),
        low=np.zeros(places, dtype=np.int64),
        high=np.full(places, places, dtype=np.int64),
    )
    for low, high, patch in sorted(bound, key=lambda part: part[1] - part[0]):
        free = low + np.flatnonzero(order.patch[low:high] < 0)
        if len(free) == 0:  # only where a part is smaller than what has to go into it
            low, high = 0, places
            free = np.flatnonzero(order.patch < 0)
        place = int(generator.choice(free))
        order.patch[place], order.low[place], order.high[place] = patch, low, high
    order.patch[order.patch < 0] = generator.permutation(np.flatnonzero(choice.copies == 0))
    return order


def unlike_neighbours(order: Order, lab: FloatArray, starts: IntArray, generator: np.random.Generator) -> None:
    """Swap patches that are too like a neighbour with others, while that makes the worse of the two places better.

    lab: (n, 3) predicted colours of the distinct patches. starts: (strips + 1,), first places of strips, and the end.
    """
    places, ends = len(order.patch), strip_ends(starts)
    for _ in range(_ROUNDS):
        weak = np.flatnonzero(place_steps(order.patch, lab, ends, np.arange(places)) < WANTED_STEP)
        if len(weak) == 0:
            break
        for place in weak.tolist():
            others = generator.integers(0, places, size=_TRIES)
            others = others[order.may_swap(place, others) & (np.abs(others - place) > 1)]
            if len(others):
                _best_swap(order, lab, ends, place, others)


def _best_swap(order: Order, lab: FloatArray, ends: BoolArray, place: int, others: IntArray) -> None:
    """Swap the patch at place with that of the other place which leaves both best, if that is better than now."""
    here = np.full(len(others), place)
    patch = order.patch
    now = np.minimum(place_steps(patch, lab, ends, here[:1])[0], place_steps(patch, lab, ends, others))
    then = np.minimum(place_steps(patch, lab, ends, here, patch[others]), place_steps(patch, lab, ends, others, patch[here]))
    then, now = np.minimum(then, WANTED_STEP), np.minimum(now, WANTED_STEP)
    best = int((then - now).argmax())
    if then[best] > now[best]:
        order.swap(place, int(others[best]))


def strip_ends(starts: IntArray) -> BoolArray:
    """Return which places (places, 2) begin and which end a strip. starts: (strips + 1,), first places, and their number."""
    ends = np.zeros((int(starts[-1]), 2), dtype=np.bool_)
    ends[starts[:-1], 0] = True
    ends[starts[1:] - 1, 1] = True
    return ends


def place_steps(
    patch: IntArray, lab: FloatArray, ends: BoolArray, places: IntArray, instead: IntArray | None = None
) -> FloatArray:
    """Return the smaller predicted ΔE00 (k,) to the neighbours in the strip of places, as if other patches stood there."""
    own = lab[patch[places] if instead is None else instead]
    last = len(patch) - 1
    step_before = delta_e_2000(own, lab[patch[np.maximum(places - 1, 0)]])
    step_after = delta_e_2000(own, lab[patch[np.minimum(places + 1, last)]])
    smaller = np.minimum(np.where(ends[places, 0], np.inf, step_before), np.where(ends[places, 1], np.inf, step_after))
    return np.asarray(smaller.round(DIGITS))


def smallest_step(patch: IntArray, lab: FloatArray, starts: IntArray) -> float:
    """Return the smallest predicted ΔE00 between neighbours in a strip."""
    return float(place_steps(patch, lab, strip_ends(starts), np.arange(len(patch))).min())
