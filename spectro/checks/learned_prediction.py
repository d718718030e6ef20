"""A prediction that learns from what was read: smooth differences over device values, a Gaussian process on what is left.

It serves to tell strips apart while a chart is being read, when nothing is known of the print but a generic printer;
it never builds a profile. How far differences reach, and how much of them is noise, is what makes the readings likeliest
(a strip of a real RGB chart is 6 to 8 ΔE00 from the generic printer, 1.0 to 1.4 after three strips of 16 have been read, 0.7
to 1.2 after five; of a CMYK chart 10 to 17, 2.8 to 3.9 and 1.8 to 4); lengths and shares to choose from are ours, no source.

References: [Rasmussen-Williams-2006] regression, leave-one-out in closed form, marginal likelihood.
"""

from dataclasses import dataclass

import numpy as np

from spectro.checks.self_prediction import spread_as_difference
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray

LENGTHS = (0.3, 0.5, 0.8)  # device values 0 to 1
NOISE_SHARES = (0.01, 0.1)  # of the variance
CHOOSING_ROWS = 120  # of those that were read, evenly taken, by which length and noise are chosen
MOST_ROWS = 700  # read rows that are learned from, the last ones; later ones gain nothing
_EVIDENCE_VARIANCE, _EVIDENCE_NOISE = 25.0, 4.0  # Lab units squared: how far a generic printer is off, smoothly and not
_EVIDENCE_LENGTH = 0.6
_LEAST_VARIANCE = 1e-6  # Lab units squared: readings that are the prediction itself have none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Learned:
    """Predictions after learning."""

    lab: FloatArray  # (n, 3) of all patches
    noise: float  # mean ΔE00 of a right reading from its prediction, by leaving parts out
    spread: FloatArray  # (n,) ΔE00 that a right reading may well be off, of patches that were read or wanted; else 0


def learned(
    device: FloatArray, predicted: FloatArray, rows: IntArray, read: FloatArray, group: IntArray, wanted: IntArray | None = None
) -> Learned:
    """Return predictions of all patches, learned from some readings; a patch that was read is predicted without its group.

    device: (n, channels), 0 to 1; predicted: Lab (n, 3); rows: (k,) patches that were read, k at least 1; read: Lab
    (k, 3); group: (n,) the strip of each patch; wanted: patches that were not read, and whose spread is asked for.
    """
    rows, read = rows[-MOST_ROWS:], read[-MOST_ROWS:]
    left = read - predicted[rows]
    length, share = _likeliest(device[rows], left)
    inverse = np.linalg.inv(_kernel(device[rows], device[rows], length) + share * np.eye(len(rows)))
    weights = inverse @ left
    scale = np.sqrt((left * weights).sum(axis=0) / len(rows))
    lab = predicted + _kernel(device, device[rows], length) @ weights
    unknown = np.zeros(len(device))  # variance of a reading beside its prediction, as a share of the scale's
    if wanted is not None:
        across = _kernel(device[wanted], device[rows], length)
        unknown[wanted] = 1 + share - ((across @ inverse) * across).sum(axis=1)
    noise = []
    for number in np.unique(group[rows]):
        mine = np.flatnonzero(group[rows] == number)
        block = np.linalg.inv(inverse[np.ix_(mine, mine)])
        residual = block @ weights[mine]  # what is left of the group, left out
        unknown[rows[mine]] = np.diag(block)
        without = read[mine] - residual
        if len(mine) < len(rows):
            lab[rows[mine]] = without
            others = np.setdiff1d(np.flatnonzero(group == number), rows[mine])
            if len(others):
                keep = np.setdiff1d(np.arange(len(rows)), mine)
                lab[others] = _plain(device, predicted, rows[keep], read[keep], others, length, share)
            noise.append(delta_e_2000(without, read[mine]))
        else:
            noise.append(delta_e_2000(predicted[rows[mine]], read[mine]) * 0.5)
    spread = np.zeros(len(device))
    told = np.flatnonzero(unknown > 0)
    spread[told] = spread_as_difference(np.sqrt(unknown[told])[:, None] * scale, lab[told])
    return Learned(lab=lab, noise=float(np.clip(np.median(np.concatenate(noise)), 0.3, 5.0)), spread=spread)


def _likeliest(device: FloatArray, left: FloatArray) -> tuple[float, float]:
    """Return length and share of noise by the largest marginal likelihood, its variances the best for each of L*, a*, b*."""
    some = np.unique(np.linspace(0, len(device) - 1, CHOOSING_ROWS).astype(np.int64))
    device, left = device[some], left[some]
    found: dict[tuple[float, float], float] = {}
    for length in LENGTHS:
        kernel = _kernel(device, device, length)
        for share in NOISE_SHARES:
            factor = np.linalg.cholesky(kernel + share * np.eye(len(kernel)))
            variance = (np.linalg.solve(factor, left) ** 2).sum(axis=0) / len(left)
            logs = np.log(np.maximum(variance, _LEAST_VARIANCE)).sum()
            found[length, share] = float(-0.5 * len(left) * logs - 3 * np.log(np.diag(factor)).sum())
    return max(found, key=lambda key: found[key])


def _plain(
    device: FloatArray,
    predicted: FloatArray,
    rows: IntArray,
    read: FloatArray,
    wanted: IntArray,
    length: float,
    share: float,
) -> FloatArray:
    matrix = _kernel(device[rows], device[rows], length) + share * np.eye(len(rows))
    weights = np.linalg.solve(matrix, read - predicted[rows])
    result: FloatArray = predicted[wanted] + _kernel(device[wanted], device[rows], length) @ weights
    return result


def evidence(read: FloatArray, device: FloatArray, predicted: FloatArray) -> float:
    """Return how well readings, Lab (k, 3), go with patches of these device values and predictions, per patch.

    Their difference from the prediction is held against smooth functions of the device values (log marginal likelihood).
    Larger is better; readings in a wrong order are rough.
    """
    left = read - predicted
    matrix = _EVIDENCE_VARIANCE * _kernel(device, device, _EVIDENCE_LENGTH) + _EVIDENCE_NOISE * np.eye(len(left))
    factor = np.linalg.cholesky(matrix)
    white = np.linalg.solve(factor, left)
    return float(-0.5 * (white**2).sum() - 3 * np.log(np.diag(factor)).sum()) / len(left)


def _kernel(one: FloatArray, other: FloatArray, length: float) -> FloatArray:
    squares = (one**2).sum(axis=1)[:, None] + (other**2).sum(axis=1)[None, :] - 2 * one @ other.T
    return np.asarray(np.exp(-np.maximum(squares, 0.0) / (2 * length**2)), dtype=np.float64)
