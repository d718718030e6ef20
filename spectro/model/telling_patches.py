"""Which patches would tell most before they are read: of a fitted model, or of a drift since it was fitted.

Chosen one by one for the variance they take away everywhere [Rasmussen-Williams-2006]; the greedy choice of least expected
error is common practice [Cohn-1996].
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.row_blocks import one_thread
from spectro.model.drift_term import Moves, Place, usual_sizes
from spectro.model.gaussian_process import DeviceModel
from spectro.model.kernel import matern
from spectro.records.arrays import FloatArray, IntArray, keep_floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TellingPatches:
    """Chosen patches and how unsure the model is before and after they are read."""

    device: FloatArray  # (k, channels), rows of the candidates, the most telling first
    before: FloatArray  # (m, 3), standard deviation of L*, a*, b* at the candidates
    after: FloatArray  # (m, 3), when the chosen ones have been read once

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "device", "before", "after")


def most_telling(model: DeviceModel, candidates: FloatArray, weight: FloatArray, count: int) -> TellingPatches:
    """Choose count of the candidates (m, channels), 0 to 1, all different, for the least weighted variance at all of them.

    weight: (m,), how much a variance counts there. Hyperparameters are held. m up to about 4000.
    """
    with one_thread():
        covariance = model.left_correlation(candidates)
        noise = model.prior.hyperparameters.noise_ratio
        before = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
        chosen: list[int] = []
        for _ in range(min(count, len(candidates))):
            variance = np.maximum(np.diag(covariance), 1e-12)
            gain = weight @ covariance**2 / (variance + noise)
            gain[chosen] = -1
            best = int(np.argmax(gain))
            chosen.append(best)
            row = covariance[best].copy()
            covariance -= np.outer(row, row / (variance[best] + noise))
        after = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
    scale = np.sqrt(model.variance)
    return TellingPatches(device=candidates[chosen], before=before[:, None] * scale, after=after[:, None] * scale)


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
