"""How a page of strips lies against its chart as a whole: in order, upside down, shifted, another page, another chart.

Each arrangement pairs strips of readings with expected ones; a smooth difference between all readings and all predictions
(a print through a profile, another ink) is taken out robustly before they are compared, so that it hides no order.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.strip_alignment import capped_difference
from spectro.records.arrays import FloatArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("misreads")
WIDE_CAP = _LIMITS["page_cap"]
MOST_SHIFT = 2  # strips
_ROUNDS = 12


@dataclass(frozen=True, slots=True, eq=False)
class Arrangement:
    """One way the page may lie."""

    name: str  # "in order", "upside down", "shifted", or the name of another page
    pairs: tuple[tuple[int, int, bool], ...]  # strip read, expected strip, turned
    expected: Sequence[FloatArray]
    cost: float = np.inf  # median over the strips of the capped mean ΔE00
    correction: FloatArray | None = None  # (4, 3), from predicted Lab and 1 to Lab as read; None: none needed


def arrangements(
    strips: int, expected: Sequence[FloatArray], others: Mapping[str, Sequence[FloatArray]]
) -> Iterator[Arrangement]:
    """Return the arrangements of so many strips worth looking at."""
    yield Arrangement("in order", tuple((i, i, False) for i in range(min(strips, len(expected)))), expected)
    yield Arrangement("upside down", _turned(strips, expected), expected)
    if strips > 2:
        for shift in range(-MOST_SHIFT, MOST_SHIFT + 1):
            pairs = tuple((i, i + shift, False) for i in range(strips) if 0 <= i + shift < len(expected))
            if shift and len(pairs) > strips // 2:
                yield Arrangement("shifted", pairs, expected)
    yield Arrangement("turned strips", tuple((i, i, True) for i in range(min(strips, len(expected)))), expected)
    for name, page in others.items():
        yield Arrangement(name, tuple((i, i, False) for i in range(min(strips, len(page)))), page)
        yield Arrangement(f"{name}, upside down", _turned(strips, page), page)


def _turned(strips: int, expected: Sequence[FloatArray]) -> tuple[tuple[int, int, bool], ...]:
    count = min(strips, len(expected))
    return tuple((i, len(expected) - 1 - i, True) for i in range(count))


def judged(arrangement: Arrangement, read: Sequence[FloatArray], *, correct: bool) -> Arrangement:
    """Return an arrangement with its cost, and with the smooth difference that was taken out where correct is true."""
    sides = []
    for i, j, turned in arrangement.pairs:
        mine, theirs = (read[i][::-1] if turned else read[i]), arrangement.expected[j]
        rows = min(len(mine), len(theirs))
        sides.append((mine[:rows], theirs[:rows]))
    if not sides:
        return arrangement
    correction = None
    if correct:
        correction = smooth_difference(np.concatenate([b for _, b in sides]), np.concatenate([a for a, _ in sides]))
    costs = [
        capped_difference(mine, theirs if correction is None else corrected(theirs, correction), WIDE_CAP)
        for mine, theirs in sides
    ]
    return Arrangement(arrangement.name, arrangement.pairs, arrangement.expected, float(np.median(costs)), correction)


def smooth_difference(predicted: FloatArray, read: FloatArray) -> FloatArray:
    """Return (4, 3): the robust affine map from predicted Lab (n, 3) to Lab as read (n, 3).

    Rows far off lose their weight (Geman and McClure's weights on the distance, its scale the median, falling).
    """
    terms = np.column_stack([predicted, np.ones(len(predicted))])
    identity = np.vstack([np.eye(3), np.zeros(3)])
    if len(predicted) < _LIMITS["page_patches"]:
        identity[3] = np.median(read - predicted, axis=0)
        return identity
    found = identity
    weights = np.ones(len(predicted))
    for _ in range(_ROUNDS):
        solution, *_ = np.linalg.lstsq(terms * weights[:, None], read * weights[:, None], rcond=None)
        found = np.asarray(solution, dtype=np.float64)
        distance = np.sqrt(((read - terms @ found) ** 2).sum(axis=1))
        scale = max(float(np.median(distance)), 0.5)
        weights = 1 / (1 + (distance / (2 * scale)) ** 2)
    return found


def corrected(lab: FloatArray, correction: FloatArray) -> FloatArray:
    """Return Lab (n, 3) sent through the map of smooth_difference."""
    result: FloatArray = lab @ correction[:3] + correction[3]
    return result
