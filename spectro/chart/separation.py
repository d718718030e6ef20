"""How far apart strips are to a reader, and an order that makes the smallest distance larger.

The distance of two strips is the mean predicted ΔE00 over the patches that lie side by side; the smallest over: the
same way round and the other, in step and shifted by one patch either way where two or more still lie side by side. A
strip has a distance from itself, too: from its own reverse and from itself shifted.
"""

from dataclasses import dataclass

import numpy as np

from spectro.chart.order import DIGITS, WANTED_STEP, Order, place_steps, strip_ends
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import BoolArray, FloatArray, IntArray

_BUDGET = 4_000_000  # colour differences computed to improve an order: about a second (our choice)
_MOST_TRIES = 300  # beyond it little is gained (our choice)
_OTHER_STRIPS = 10  # places looked at for a swap
_AT_ONCE = 12  # strips compared in one call


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Strips:
    """Predicted colours by strip, one way round and the other; places that a short strip lacks are marked."""

    forward: FloatArray  # (strips, rows, 3)
    backward: FloatArray
    there: BoolArray  # (strips, rows)


def _strips(lab: FloatArray, starts: IntArray) -> _Strips:
    lengths = np.diff(starts)
    forward = np.zeros((len(lengths), int(lengths.max()), 3))
    backward = np.zeros_like(forward)
    for index, (start, length) in enumerate(zip(starts[:-1].tolist(), lengths.tolist(), strict=True)):
        forward[index, :length] = lab[start : start + length]
        backward[index, :length] = lab[start : start + length][::-1]
    return _Strips(forward=forward, backward=backward, there=np.arange(forward.shape[1]) < lengths[:, None])


def _distances(strips: _Strips, own: IntArray, others: IntArray) -> FloatArray:
    """Return distances (k, n) of strips own from others; infinite where nothing lies side by side."""
    rows = strips.forward.shape[1]
    least = np.full((len(own), len(others)), np.inf)
    for sides, turned in ((strips.forward, False), (strips.backward, True)):
        for shift in (-1, 0, 1):
            if rows - abs(shift) < 1:
                continue
            here = slice(max(shift, 0), rows + min(shift, 0))
            there = slice(max(-shift, 0), rows + min(-shift, 0))
            steps = delta_e_2000(strips.forward[own, None, here], sides[None, others, there])
            both = strips.there[own, None, here] & strips.there[None, others, there]
            count = both.sum(axis=-1)
            means = np.where(count > abs(shift), (steps * both).sum(axis=-1) / np.maximum(count, 1), np.inf)
            if not turned and shift == 0:
                means[own[:, None] == others] = np.inf
            np.minimum(least, means, out=least)
    return least.round(DIGITS)


def strip_separations(lab: FloatArray, starts: IntArray) -> FloatArray:
    """Return the predicted distances of strips from each other and themselves, (strips, strips), ΔE00, symmetric.

    lab: (places, 3), predicted colours in reading order. starts: (strips + 1,), the first place of each strip and the
    number of places.
    """
    strips = _strips(lab, starts)
    count = len(starts) - 1
    result = np.full((count, count), np.inf)
    for start in range(0, count, _AT_ONCE):
        own = np.arange(start, min(start + _AT_ONCE, count))
        others = np.arange(start, count)
        result[own[:, None], others] = _distances(strips, own, others)
    short = np.flatnonzero(~strips.there.all(axis=1))  # their reverse lies otherwise beside a long strip than its beside them
    if len(short):
        result[short] = np.minimum(result[short], _distances(strips, short, np.arange(count)))
    return np.asarray(np.minimum(result, result.T), dtype=np.float64)


def smallest_separation(lab: FloatArray, starts: IntArray) -> float:
    """Return the smallest distance between any two strips, ΔE00; infinite for a single strip of one patch."""
    return float(strip_separations(lab, starts).min())


def separate_strips(order: Order, lab: FloatArray, starts: IntArray, generator: np.random.Generator) -> None:
    """Swap patches between strips while that makes the smallest distance larger, within a fixed amount of work.

    lab: (n, 3) predicted colours of the distinct patches. Neighbours in a strip stay as unlike as they are, up to the
    wanted step; every printing stays between the places it is bound to.
    """
    count, places = len(starts) - 1, len(order.patch)
    if count < 2:
        return
    strip_of = np.repeat(np.arange(count), np.diff(starts))
    ends = strip_ends(starts)
    distances = strip_separations(lab[order.patch], starts)
    everyone = np.arange(count)
    for _ in range(min(_MOST_TRIES, _BUDGET // (2 * 6 * places))):
        worst = np.unravel_index(int(distances.argmin()), distances.shape)
        strip = int(worst[int(generator.integers(0, 2))])
        place = int(generator.integers(starts[strip], starts[strip + 1]))
        swap = _promising_swap(order, lab, ends, strip_of, place, generator)
        if swap is None:
            continue
        order.swap(*swap)
        changed = np.unique(strip_of[list(swap)])
        then = _distances(_strips(lab[order.patch], starts), changed, everyone)
        if then.min() > distances.min():
            distances[changed], distances[:, changed] = then, then.T
        else:
            order.swap(*swap)


def _promising_swap(
    order: Order, lab: FloatArray, ends: BoolArray, strip_of: IntArray, place: int, generator: np.random.Generator
) -> tuple[int, int] | None:
    """Return a place and one in another strip that may change their patches, or None if neighbours forbid it."""
    others = generator.integers(0, len(order.patch), size=_OTHER_STRIPS)
    others = others[order.may_swap(place, others) & (strip_of[others] != strip_of[place])]
    if len(others) == 0:
        return None
    here = np.full(len(others), place)
    patch = order.patch
    then = np.minimum(place_steps(patch, lab, ends, here, patch[others]), place_steps(patch, lab, ends, others, patch[here]))
    now = np.minimum(place_steps(patch, lab, ends, here), place_steps(patch, lab, ends, others))
    allowed = others[then >= np.minimum(now, WANTED_STEP)]
    return (place, int(allowed[0])) if len(allowed) else None
