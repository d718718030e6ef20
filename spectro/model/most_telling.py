"""Which further patches would tell a fitted model most: chosen one by one for the variance they take away everywhere.

Reference: [Rasmussen-Williams-2006], posterior covariance; the greedy choice of least expected error is common practice.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.row_blocks import one_thread
from spectro.model.gaussian_process import DeviceModel
from spectro.records.arrays import FloatArray, keep_floats


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
