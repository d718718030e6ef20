"""How much ink may be printed: all inks together, and each.

The sum of the positive parts of numbers is a convex function of them. So if every node of a table keeps the total limit, no
value that is interpolated linearly between nodes exceeds it, nor does one that is clipped afterwards.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import FloatArray, keep_floats

_ROUNDS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkLimits:
    """Limits as factors: 3.0 is a total area coverage of 300 %."""

    total: float
    ceilings: FloatArray  # (c,), of each ink, 0 to 1

    def __post_init__(self) -> None:
        """Keep a read-only copy."""
        keep_floats(self, "ceilings")

    def within(self, device: FloatArray) -> FloatArray:
        """Return device values (n, c) that keep the limits: each held to its ceiling, the others first lowered evenly.

        Black, which carries the depth, gives way last: `black` is the place of an ink that is lowered only where others are
        none. Values below 0 stay; what counts is the sum of the others.
        """
        return self.lowered(device, None)

    def lowered(self, device: FloatArray, black: int | None, margin: float = 0.0) -> FloatArray:
        """As `within`; black: the place of the ink that gives way last; None: all alike. margin: kept below the total."""
        held = np.minimum(device, self.ceilings)
        for _ in range(_ROUNDS):
            over = np.maximum(held, 0).sum(axis=1) - (self.total - margin)
            rows = np.flatnonzero(over > 1e-9)
            if not len(rows):
                break
            positive = held[rows] > 0
            if black is not None:
                others = np.delete(positive, black, axis=1).any(axis=1)
                positive[:, black] &= ~others
            held[rows] -= positive * (over[rows] / positive.sum(axis=1))[:, None]
            held[rows] = np.where(positive, np.maximum(held[rows], 0.0), held[rows])
        return held


def drawn_within(count: int, limits: InkLimits, random: np.random.Generator) -> FloatArray:
    """Return device values (count, c), uniform where all limits are kept.

    random: where the draws come from. Where so much is refused that hardly a draw is kept, sums are drawn instead, up to the
    total.
    """
    inks = len(limits.ceilings)
    found: list[FloatArray] = []
    missing = count
    while missing > 0:
        device = random.random((max(2 * missing, 1000), inks)) * limits.ceilings
        kept = device[device.sum(axis=1) <= limits.total][:missing]
        found.append(kept)
        missing -= len(kept)
        if not len(kept) and inks > 4:  # limits so low that hardly a draw keeps them
            device *= (limits.total * random.random((len(device), 1)) / device.sum(axis=1, keepdims=True)).clip(0, 1)
            found.append(device[:missing])
            missing -= len(found[-1])
    return np.concatenate(found)
