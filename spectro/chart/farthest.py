"""Farthest-point choice [Gonzalez-1985]: always the candidate that is farthest from all points so far."""

import numpy as np

from spectro.records.arrays import AnyArray, FloatArray, IntArray


def farthest_rows(candidates: FloatArray, chosen: FloatArray, count: int) -> IntArray:
    """Return the rows (count,) of candidates in the order of choice, lowest row on a tie.

    candidates: (n, axes), n at least count; chosen: (m, axes), points that are there already, m at least 1.
    Distances are Euclidean, in single precision.
    """
    features = np.ascontiguousarray(candidates.T, dtype=np.float32)
    difference = np.empty_like(features)
    distance = np.full(len(candidates), np.inf, dtype=np.float32)

    def come_near(point: AnyArray) -> None:
        np.subtract(features, point[:, None], out=difference)
        np.multiply(difference, difference, out=difference)
        np.minimum(distance, difference.sum(axis=0), out=distance)

    for point in np.asarray(chosen, dtype=np.float32):
        come_near(point)
    picked = np.empty(count, dtype=np.int64)
    for index in range(count):
        best = int(distance.argmax())
        picked[index] = best
        come_near(features[:, best].copy())
        distance[best] = -1
    return picked
