"""Ink charts: patches that fill the space of ink amounts below the total-area limit, for any number of channels.

Also for a single channel of grey. References: [Niederreiter-1992] candidates; [Gonzalez-1985] farthest-point choice.
"""

from collections.abc import Callable

import numpy as np

from spectro.chart.spread import STEPS, even_points, farthest_rows, largest_gap
from spectro.records.arrays import FloatArray, IntArray

_LAB_SCALE = 100.0  # Lab units that weigh as much as the whole way from 0 to 1 of a channel (no source)
_FACE_SHARE = 0.04  # candidates this near to no ink or full ink have none or full (no source)
_MOST_CANDIDATES = 32768
_TEST_POINTS = 8192


def limited_steps(points: FloatArray, total_area: float | None) -> IntArray:
    """Return points (n, inks), 0 to 1, in whole steps of 1/255, with no more ink than the limit.

    total_area: percent; None: no limit. What is above it keeps its proportions and is brought down to the limit.
    """
    if total_area is not None:
        total = points.sum(axis=1, keepdims=True)
        points = points * np.minimum(1.0, total_area / 100 / np.maximum(total, 1e-9))
    steps = np.rint(points * STEPS).astype(np.int64)
    if total_area is None:
        return steps
    most = int(total_area / 100 * STEPS + 1e-9)
    over = steps.sum(axis=1) > most
    while over.any():  # rounding up may pass the limit by a step or two
        largest = steps[over].argmax(axis=1)
        steps[np.flatnonzero(over), largest] -= 1
        over = steps.sum(axis=1) > most
    return steps


def spread_inks(
    chosen: IntArray,
    count: int,
    seed: int,
    total_area: float | None,
    colour_weight: float,
    predict: Callable[[FloatArray], FloatArray],
) -> IntArray:
    """Return at most count patches (k, channels), steps of 1/255, that fill the holes the chosen ones leave.

    chosen: (m, channels), m at least 1; none of them comes again. Fewer than count come back only where the channels
    hold no more. predict: device values (n, channels) -> Lab. Deterministic in the seed.
    """
    channels = chosen.shape[1]
    number = min(max(4096, 8 * count), max(_MOST_CANDIDATES, 4 * count))
    if channels == 1:
        candidates = np.arange(STEPS + 1)[:, None]
    else:
        points = even_points(number, channels + 1, seed)
        amounts = np.clip(points[:, :-1] * (1 + 2 * _FACE_SHARE) - _FACE_SHARE, 0, 1)
        amounts[::2] *= points[::2, -1:]  # many inks at random are nearly always much ink: half of them are thinned
        candidates = limited_steps(amounts, total_area)
    _, first = np.unique(candidates, axis=0, return_index=True)
    candidates = candidates[np.sort(first)]
    known = {tuple(row) for row in chosen.tolist()}
    candidates = candidates[[tuple(row) not in known for row in candidates.tolist()]]
    count = min(count, len(candidates))

    def features(steps: IntArray) -> FloatArray:
        lab = predict(steps / STEPS) / _LAB_SCALE
        return np.hstack([np.sqrt(1 - colour_weight) * steps / STEPS, np.sqrt(colour_weight) * lab])

    if colour_weight in (0, 1) and count == len(candidates):
        return candidates
    return np.asarray(candidates[farthest_rows(features(candidates), features(chosen), count)])


def ink_fill_distance(device: FloatArray, total_area: float | None) -> float:
    """Return the largest Euclidean distance from a test point below the ink limit to its nearest patch.

    device: (n, channels), 0 to 1. The test set: 8192 even points brought below the limit, always the same.
    """
    tests = limited_steps(even_points(_TEST_POINTS, device.shape[1], 0), total_area) / STEPS
    return largest_gap(tests, device)
