"""Which of several ways to join readings with a chart their colours tell, and which strips a run of readings holds.

A join is judged by how far colours lie from the generic printer's after the best smooth map between the two, as a share of
what readings in no order give. Limits: standards/limits/misreads.toml, ours, from benchmarks/joins.py.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.page_arrangement import WIDE_CAP, corrected, smooth_difference
from spectro.checks.strip_cutting import bring_near
from spectro.records.arrays import FloatArray, IntArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("misreads")
LEAST_READINGS = 8  # below, colours in any order can be brought near by an offset
_DRAWS = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OrderChoice:
    """Which join colours tell."""

    chosen: int | None  # None: none fits
    rivals: tuple[int, ...] = ()  # others that fit about as well, where that is so: then a person is to choose
    share: float = 1.0  # of the cost of readings in no order


def told_by_colours(read: FloatArray, joins: Sequence[IntArray], expected: FloatArray) -> OrderChoice:
    """Return which join fits. read: Lab (n, 3); joins: rows of the chart (n,) each, the likeliest first; expected: Lab (m, 3).

    The first one stands where it fits well, or none is better. Another one must be clearly ahead of all that differ from it.
    """
    chance = _chance(read, joins, expected)
    shares = np.full(len(joins), np.inf)
    for index, rows in enumerate(joins):
        shares[index] = pairing_cost(read, expected[rows]) / chance
        if index == 0 and shares[0] <= _LIMITS["join_sure"]:
            return OrderChoice(chosen=0, share=float(shares[0]))
    best = int(np.argmin(shares))
    share = float(shares[best])
    if share > _LIMITS["join_fits"]:
        return OrderChoice(chosen=None, share=share)
    own = expected[joins[best]]
    near = [k for k in range(len(joins)) if k != best and not np.allclose(expected[joins[k]], own)]
    rivals = tuple(k for k in near if share > _LIMITS["join_ahead"] * shares[k])
    if best == 0 or not rivals:
        return OrderChoice(chosen=best, share=share)
    return OrderChoice(chosen=best, rivals=rivals, share=share)


def pairing_cost(read: FloatArray, expected: FloatArray) -> float:
    """Return the mean distance in Lab, capped, of readings (n, 3) from expected colours (n, 3) sent through a smooth map.

    A map that turns light into dark, or a colour into its opposite, fits nothing.
    """
    found = smooth_difference(expected, read)
    if (np.diag(found[:3]) <= 0).any():
        return WIDE_CAP
    distance = np.sqrt(((read - corrected(expected, found)) ** 2).sum(axis=1))
    return float(np.minimum(distance, WIDE_CAP).mean())


def _chance(read: FloatArray, joins: Sequence[IntArray], expected: FloatArray) -> float:
    rng = np.random.default_rng(20260104)
    together = np.unique(np.concatenate(joins))
    costs = []
    for _ in range(_DRAWS):
        theirs = expected[rng.choice(together, len(read), replace=len(read) > len(together))]
        distance = read - corrected(theirs, smooth_difference(theirs, read))
        costs.append(np.minimum(np.sqrt((distance**2).sum(axis=1)), WIDE_CAP).mean())
    return max(float(np.median(costs)), 1e-6)


def strips_held(read: FloatArray, strips: Sequence[FloatArray]) -> tuple[int, ...] | None:
    """Return which strips, in their order, a run of readings (n, 3) holds where some were skipped; None where no set fits.

    strips: expected Lab (m, 3) of each strip. The cheapest set of strips whose lengths add up to n.
    """
    near = bring_near(np.concatenate(strips), read)
    expected = np.split(near, np.cumsum([len(strip) for strip in strips])[:-1])
    reached: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, ())}
    for index, strip in enumerate(expected):
        ahead = dict(reached)
        for start, (cost, held) in reached.items():
            end = start + len(strip)
            if end <= len(read):
                distance = np.sqrt(((read[start:end] - strip) ** 2).sum(axis=1))
                total = cost + float(np.minimum(distance, WIDE_CAP).sum())
                if end not in ahead or total < ahead[end][0]:
                    ahead[end] = (total, (*held, index))
        reached = ahead
    found = reached.get(len(read))
    return found[1] if found is not None and found[1] else None
