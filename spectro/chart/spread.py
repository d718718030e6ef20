"""Patches that fill the space evenly: candidates from an additive recurrence, then always the one farthest from the rest.

References: [Niederreiter-1992] Kronecker sequences; [Gonzalez-1985] farthest-point choice.
"""

from collections.abc import Callable

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.errors import InputError
from spectro.records.arrays import AnyArray, FloatArray, IntArray

STEPS = 255
"""Device values of charts are whole steps of 1/255, so that 8-bit and 16-bit print paths print the same."""

_FACE_SHARE = 0.02  # candidates this near a face lie on it (no source: without them no patch is quite at an end)
_LAB_SCALE = 100.0  # Lab units that weigh as much as the whole way from 0 to 1 of a channel (no source)
_TEST_POINTS = 8192


def even_points(count: int, channels: int, seed: int) -> FloatArray:
    """Return count points (count, channels) that fill the unit cube evenly, for any count; the seed shifts them.

    The Kronecker sequence [Niederreiter-1992] of the powers of 1/g, where g solves g^(channels + 1) = g + 1.
    """
    root = 1.5
    for _ in range(64):
        root = (1 + root) ** (1 / (channels + 1))
    slope = root ** -np.arange(1.0, channels + 1)
    start = np.random.default_rng(seed).random(channels)
    return np.asarray((start + np.arange(1, count + 1)[:, None] * slope) % 1.0)


def candidate_steps(count: int, channels: int, seed: int) -> IntArray:
    """Return distinct candidate patches (about count, channels) in steps of 1/255; some lie on faces, edges, corners."""
    points = even_points(count, channels, seed)
    stretched = np.clip(points * (1 + 2 * _FACE_SHARE) - _FACE_SHARE, 0, 1)
    steps = np.rint(stretched * STEPS).astype(np.int64)
    _, first = np.unique(steps, axis=0, return_index=True)
    return np.asarray(steps[np.sort(first)])


def spread_features(
    steps: IntArray, colour_weight: float, predict: Callable[[FloatArray], FloatArray] = predict_lab
) -> FloatArray:
    """Return the coordinates (n, channels + 3) in which patches are spread: device values beside predicted colour.

    colour_weight: 0 to 1; the share of predicted Lab in squared distances. predict: device (n, channels) -> Lab (n, 3).
    """
    device = steps / STEPS
    lab = predict(device) / _LAB_SCALE
    return np.hstack([np.sqrt(1 - colour_weight) * device, np.sqrt(colour_weight) * lab])


def spread_patches(chosen: IntArray, count: int, seed: int, colour_weight: float = 0.5) -> IntArray:
    """Return count patches (count, channels) in steps of 1/255 that fill the holes the chosen ones leave.

    chosen: (m, channels), m at least 1, steps of 1/255; none of them comes again. Each new patch is the candidate
    farthest from all chosen so far [Gonzalez-1985], lowest candidate on a tie: the first k of a longer spread are the
    spread of k from the same candidates. Deterministic in the seed.
    Raises InputError if there are fewer candidates than patches asked for.
    """
    channels = chosen.shape[1]
    number = 2 ** int(np.ceil(np.log2(max(4096, 8 * count))))
    candidates = candidate_steps(number, channels, seed)
    known = {tuple(row) for row in chosen.tolist()}
    candidates = candidates[[tuple(row) not in known for row in candidates.tolist()]]
    if len(candidates) < count:
        raise InputError(f"{count} patches to spread", f"at most {len(candidates)}", "Ask for fewer patches.")
    features = np.ascontiguousarray(spread_features(candidates, colour_weight).T, dtype=np.float32)
    difference = np.empty_like(features)
    distance = np.full(len(candidates), np.inf, dtype=np.float32)

    def come_near(point: AnyArray) -> None:
        np.subtract(features, point[:, None], out=difference)
        np.multiply(difference, difference, out=difference)
        np.minimum(distance, difference.sum(axis=0), out=distance)

    for point in spread_features(chosen, colour_weight).astype(np.float32):
        come_near(point)
    picked = np.empty(count, dtype=np.int64)
    for index in range(count):
        best = int(distance.argmax())
        picked[index] = best
        come_near(features[:, best].copy())
        distance[best] = -1
    return np.asarray(candidates[picked])


def fill_distance(steps: IntArray) -> float:
    """Return the largest Euclidean distance, in device values 0 to 1, from a test point of the cube to its nearest patch.

    steps: (n, channels), steps of 1/255. The test set: 8192 even points, always the same, and the cube's corners.
    """
    channels = steps.shape[1]
    patches = steps / STEPS
    corners = np.array(np.meshgrid(*[(0.0, 1.0)] * channels)).reshape(channels, -1).T
    tests = np.vstack([even_points(_TEST_POINTS, channels, 0), corners])
    squares = np.full(len(tests), np.inf)
    lengths = (tests**2).sum(axis=1)
    for start in range(0, len(patches), 512):
        block = patches[start : start + 512]
        products = tests @ block.T
        np.minimum(squares, (lengths[:, None] - 2 * products + (block**2).sum(axis=1)).min(axis=1), out=squares)
    return float(np.sqrt(max(squares.max(), 0.0)))
