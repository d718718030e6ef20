"""One strip of readings against one expected strip: robust differences, and alignment by dynamic programming.

Readings are compared with predicted colours, patch by patch; a patch that was missed or read twice is found as the
cheapest way to line the two up. Penalties stand in `standards/limits/sitting.toml`.
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("sitting")
CAP, GAP, STRANGE_EXTRA = (_LIMITS[name] for name in ("line_up_cap", "line_up_gap", "line_up_strange"))
MOST_GAPS = 6  # patches that a line-up may drift by: more is another strip


@dataclass(frozen=True, slots=True)
class Alignment:
    """How a strip of readings lines up with an expected strip."""

    cost: float  # price of the whole line-up
    difference: float  # mean capped ΔE00 of what is matched
    pairs: tuple[tuple[int, int], ...]  # reading, expected patch
    missed: tuple[int, ...]  # expected patches without a reading
    extra: tuple[int, ...]  # readings without a patch


def capped_difference(read: FloatArray, expected: FloatArray, cap: float = CAP) -> float:
    """Return the mean of ΔE00, capped, of two Lab arrays (k, 3) and (m, 3), over as many rows as both have."""
    rows = min(len(read), len(expected))
    if not rows:
        return cap
    return float(np.minimum(delta_e_2000(read[:rows], expected[:rows]), cap).mean())


def strip_costs(read: list[FloatArray], expected: list[FloatArray]) -> FloatArray:
    """Return (strips read, strips expected, 2): capped mean ΔE00 of every pair, forwards and backwards."""
    costs = np.full((len(read), len(expected), 2), CAP)
    for i, strip in enumerate(read):
        for direction in (0, 1):
            turned = strip[::-1] if direction else strip
            rows = [min(len(turned), len(other)) for other in expected]
            if not sum(rows):
                continue
            mine = np.concatenate([turned[:count] for count in rows])
            theirs = np.concatenate([other[:count] for other, count in zip(expected, rows, strict=True)])
            difference = np.minimum(delta_e_2000(mine, theirs, threads=1), CAP)
            ends = np.cumsum(rows)
            sums = np.diff(np.concatenate([[0.0], np.cumsum(difference)[ends - 1]]))
            costs[i, :, direction] = sums / np.maximum(rows, 1)
    return costs


def align(read: FloatArray, expected: FloatArray, paper: FloatArray) -> Alignment:
    """Line up readings (k, 3) with expected colours (m, 3), Lab; paper (3,) is what lies beside the strip.

    The cheapest line-up: matches cost their capped ΔE00, a missed patch GAP, an extra reading GAP where it is like the
    patch before it or like paper, else more.
    """
    k, m = len(read), len(expected)
    difference = np.minimum(delta_e_2000(read[:, None, :], expected[None, :, :], threads=1), CAP)
    to_paper = np.minimum(delta_e_2000(read, paper, threads=1), STRANGE_EXTRA)
    total = np.full((k + 1, m + 1), np.inf)
    step = np.zeros((k + 1, m + 1), dtype=np.int64)
    total[0, 0] = 0.0
    match, paper_cost = difference.tolist(), to_paper.tolist()
    rows: list[list[float]] = total.tolist()
    for i in range(k + 1):
        for j in range(max(0, i - MOST_GAPS), min(m, i + MOST_GAPS) + 1):
            best, how = (0.0, 0) if i == j == 0 else (np.inf, 0)
            if i and j and rows[i - 1][j - 1] + match[i - 1][j - 1] < best:
                best, how = rows[i - 1][j - 1] + match[i - 1][j - 1], 0
            if j and rows[i][j - 1] + GAP < best:
                best, how = rows[i][j - 1] + GAP, 1
            if i:
                before = match[i - 1][j - 1] if j else CAP
                price = GAP + min(before, paper_cost[i - 1], STRANGE_EXTRA)
                if rows[i - 1][j] + price < best:
                    best, how = rows[i - 1][j] + price, 2
            rows[i][j], step[i, j] = best, how
    pairs, missed, extra = [], [], []
    i, j = k, m
    if not np.isfinite(rows[k][m]):
        return Alignment(float("inf"), CAP, (), tuple(range(m)), tuple(range(k)))
    while i or j:
        how = int(step[i, j])
        if how == 0:
            i, j = i - 1, j - 1
            pairs.append((i, j))
        elif how == 1:
            j -= 1
            missed.append(j)
        else:
            i -= 1
            extra.append(i)
    matched = [match[a][b] for a, b in pairs]
    return Alignment(
        cost=float(rows[k][m]),
        difference=float(np.mean(matched)) if matched else CAP,
        pairs=tuple(reversed(pairs)),
        missed=tuple(reversed(missed)),
        extra=tuple(reversed(extra)),
    )
