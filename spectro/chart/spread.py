"""Patches spread over the device cube: those that leave a model the least expected error, then those that fill holes.

Candidates come from an additive recurrence. References: [Niederreiter-1992] Kronecker sequences; [Gonzalez-1985]
farthest-point choice; [ISO-CIE-11664-6] ΔE00, by which errors count.
"""

from collections.abc import Callable

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.chart.least_error import least_error_rows
from spectro.chart.likely_curves import LIKELY_CURVES
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.records.arrays import AnyArray, FloatArray, IntArray

GOLDEN_ANGLE = float(np.pi * (3 - np.sqrt(5)))
"""Turned by this again and again, directions stay evenly spread however many there are."""

STEPS = 255
"""Device values of charts are whole steps of 1/255, so that 8-bit and 16-bit print paths print the same."""

MOST_BY_ERROR = 400
"""As many patches are chosen by expected error; each more costs milliseconds, and holes come to be what is left."""

_FEWEST_CANDIDATES, _MOST_CANDIDATES = 512, 2048  # for choice by expected error; 16 a patch between these (no source)
_PLACES = 768  # where expected errors are summed
_EXCHANGES = 128  # patches chosen a second time, in view of the rest, if no others come after (no source)
_SENSITIVITY_POWER = 3.0  # no source: of 2, 2.5 and 3 the best p95 on invented drivers, see benchmarks/placement.md
_FACE_SHARE = (
    0.06  # candidates and places this near a face lie on it: real charts are read there too, see benchmarks/placement.md
)
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
    steps = np.rint(_stretched(points) * STEPS).astype(np.int64)
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


def spread_patches(
    chosen: IntArray,
    count: int,
    seed: int,
    colour_weight: float = 0.5,
    predict: Callable[[FloatArray], FloatArray] = predict_lab,
) -> IntArray:
    """Return count RGB patches (count, 3) in steps of 1/255 that tell a model most beside the chosen ones.

    chosen: (m, 3), m at least 1, steps of 1/255; none of them comes again. The first 400 leave the least expected error
    (`least_error_rows`), the rest fill the largest holes (`spread_features`, [Gonzalez-1985]).
    colour_weight: 0 to 1; 0: errors count alike everywhere and holes are measured in device values; 1: errors count by the
    sixth power of the ΔE00 they make (0.5: by the third) and holes are measured in predicted colour.
    predict: device values (n, 3), 0 to 1, to Lab (n, 3): a generic printer unless given, or a model of this one.
    Deterministic in the seed.
    Raises InputError if there are fewer candidates than patches asked for.
    """
    telling = min(count, MOST_BY_ERROR)
    steps = _new_candidates(int(np.clip(16 * telling, _FEWEST_CANDIDATES, _MOST_CANDIDATES)), chosen, seed)
    exchanges = _EXCHANGES if telling == count else 0
    places = _stretched(even_points(_PLACES, 3, seed + 1))
    weights = colour_sensitivity(predict(places)) ** (_SENSITIVITY_POWER * colour_weight)
    rows = least_error_rows(steps / STEPS, chosen / STEPS, places, weights, telling, LIKELY_CURVES, exchanges)
    first = steps[rows]
    if telling == count:
        return first
    chosen = np.vstack([chosen, first])
    steps = _new_candidates(2 ** int(np.ceil(np.log2(max(4096, 8 * count)))), chosen, seed)
    if len(steps) < count - telling:
        raise InputError(f"{count} patches to spread", f"at most {telling + len(steps)}", "Ask for fewer patches.")
    features = spread_features(steps, colour_weight, predict)
    rows = farthest_rows(features, spread_features(chosen, colour_weight, predict), count - telling)
    return np.vstack([first, steps[rows]])


def colour_sensitivity(lab: FloatArray) -> FloatArray:
    """Return the mean square (n,) of the small ΔE00 that one unit in L*, a* or b* makes at Lab (n, 3)."""
    half = 0.05
    squares = [(delta_e_2000(lab - half * axis, lab + half * axis) / (2 * half)) ** 2 for axis in np.eye(3)]
    return np.asarray(np.mean(squares, axis=0))


def _stretched(points: FloatArray) -> FloatArray:
    """Return points stretched about the middle of the cube and clipped, so that some lie on faces, edges, corners."""
    return np.clip(points * (1 + 2 * _FACE_SHARE) - _FACE_SHARE, 0, 1)


def _new_candidates(count: int, chosen: IntArray, seed: int) -> IntArray:
    """Return candidates that are not among the chosen."""
    known = {tuple(row) for row in chosen.tolist()}
    candidates = candidate_steps(count, chosen.shape[1], seed)
    return candidates[[tuple(row) not in known for row in candidates.tolist()]]


def fill_distance(steps: IntArray) -> float:
    """Return the largest Euclidean distance, in device values 0 to 1, from a test point of the cube to its nearest patch.

    steps: (n, channels), steps of 1/255. The test set: 8192 even points, always the same, and the cube's corners.
    """
    channels = steps.shape[1]
    corners = np.array(np.meshgrid(*[(0.0, 1.0)] * channels)).reshape(channels, -1).T
    return largest_gap(np.vstack([even_points(_TEST_POINTS, channels, 0), corners]), steps / STEPS)


def largest_gap(tests: FloatArray, patches: FloatArray) -> float:
    """Return the largest Euclidean distance of a test point (n, channels) to its nearest patch (m, channels)."""
    squares = np.full(len(tests), np.inf)
    lengths = (tests**2).sum(axis=1)
    for start in range(0, len(patches), 512):
        block = patches[start : start + 512]
        products = tests @ block.T
        np.minimum(squares, (lengths[:, None] - 2 * products + (block**2).sum(axis=1)).min(axis=1), out=squares)
    return float(np.sqrt(max(squares.max(), 0.0)))


def inner_steps(count: int) -> IntArray:
    """Return count even levels between the ends, ends left out, in steps of 1/255.

    >>> inner_steps(2).tolist()
    [85, 170]
    """
    return np.rint(np.linspace(0, STEPS, count + 2)[1:-1]).astype(np.int64)


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
