"""Which patches of an old chart would tell most about a drift, before anything is read anew.

Each next patch takes away most of the variance that the drift still has all over the printer [Rasmussen-Williams-2006]; the
greedy choice of least expected error is common practice [Cohn-1996].
"""

import numpy as np

from spectro.maths.row_blocks import one_thread
from spectro.model.drift_term import Moves, Place, usual_sizes
from spectro.model.kernel import matern
from spectro.records.arrays import FloatArray, IntArray


def telling_drift_rows(
    candidates: FloatArray,
    first: IntArray,
    places: FloatArray,
    weights: FloatArray,
    spread: FloatArray,
    count: int,
    *,
    place: Place,
    moves: Moves,
) -> IntArray:
    """Return rows (count,) of candidates (n, channels): those of first, then the most telling, one by one.

    places: (r, channels), where the drift counts, weights: (r, 3), how much it does in L*, a* and b*. spread: (n,) as for
    `fit_drift_term`. n up to about 700.
    """
    n = len(candidates)
    every = np.vstack([candidates, places])
    groups = moves(every)
    sizes = usual_sizes(len(groups))
    placed = np.asarray(place(every)) / sizes.reach
    flat = np.concatenate([size * group.reshape(len(group), -1) for size, group in zip(sizes.freedoms, groups, strict=True)])
    with one_thread():
        rest = np.kron(sizes.rest**2 * matern(placed, placed[:n]), np.eye(3))
        covariance = rest + flat.T @ flat[:, : 3 * n]
        here, there = covariance[: 3 * n], covariance[3 * n :] * weights.reshape(-1, 1)
        chosen: list[int] = []
        for turn in range(min(count, n)):
            blocks = here.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n)] + spread[:, None, None] ** 2 * np.eye(3)
            inverse = np.linalg.inv(blocks)
            if turn < len(first):
                best = int(first[turn])
            else:
                by_row = there.reshape(-1, n, 3).transpose(1, 2, 0)
                gain = np.einsum("nij,nij->n", by_row @ by_row.transpose(0, 2, 1), inverse)
                gain[chosen] = -1
                best = int(np.argmax(gain))
            chosen.append(best)
            rows = slice(3 * best, 3 * best + 3)
            back = inverse[best] @ here[rows]
            there -= there[:, rows] @ back
            here -= here[:, rows].copy() @ back
    return np.array(chosen, dtype=np.int64)
