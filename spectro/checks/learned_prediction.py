"""A prediction that learns from what was read: smooth differences over device values, a Gaussian process on what is left.

It serves to tell strips apart while a chart is being read, when nothing is known of the print but a generic printer;
it never builds a profile. Settings are ours, tuned on stand-in and real charts (a strip of a real chart is 7 to 9 ΔE00
from the generic printer, 2.5 to 3.5 after one strip has been read, 1.3 to 2 after five); no source.

References: [Rasmussen-Williams-2006] regression, leave-one-out in closed form, marginal likelihood.
"""

from dataclasses import dataclass

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray

LENGTH = 0.5  # device values 0 to 1
NOISE_SHARE = 0.1  # of the variance
MOST_ROWS = 700  # read rows that are learned from, the last ones; later ones gain nothing
_EVIDENCE_VARIANCE, _EVIDENCE_NOISE = 25.0, 4.0  # Lab units squared: how far a generic printer is off, smoothly and not
_EVIDENCE_LENGTH = 0.6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Learned:
    """Predictions after learning."""

    lab: FloatArray  # (n, 3) of all patches
    noise: float  # mean ΔE00 of a right reading from its prediction, by leaving parts out


def learned(device: FloatArray, predicted: FloatArray, rows: IntArray, read: FloatArray, group: IntArray) -> Learned:
    """Return predictions of all patches, learned from some readings; a patch that was read is predicted without its group.

    device: (n, channels), 0 to 1; predicted: Lab (n, 3); rows: (k,) patches that were read, k at least 1; read: Lab
    (k, 3); group: (n,) the strip of each patch.
    """
    rows, read = rows[-MOST_ROWS:], read[-MOST_ROWS:]
    left = read - predicted[rows]
    inverse = np.linalg.inv(_kernel(device[rows], device[rows], LENGTH) + NOISE_SHARE * np.eye(len(rows)))
    weights = inverse @ left
    lab = predicted + _kernel(device, device[rows], LENGTH) @ weights
    noise = []
    for number in np.unique(group[rows]):
        mine = np.flatnonzero(group[rows] == number)
        residual = np.linalg.solve(inverse[np.ix_(mine, mine)], weights[mine])  # what is left of the group, left out
        without = read[mine] - residual
        if len(mine) < len(rows):
            lab[rows[mine]] = without
            others = np.setdiff1d(np.flatnonzero(group == number), rows[mine])
            if len(others):
                keep = np.setdiff1d(np.arange(len(rows)), mine)
                lab[others] = _plain(device, predicted, rows[keep], read[keep], others)
            noise.append(delta_e_2000(without, read[mine]))
        else:
            noise.append(delta_e_2000(predicted[rows[mine]], read[mine]) * 0.5)
    return Learned(lab=lab, noise=float(np.clip(np.median(np.concatenate(noise)), 0.3, 5.0)))


def _plain(device: FloatArray, predicted: FloatArray, rows: IntArray, read: FloatArray, wanted: IntArray) -> FloatArray:
    matrix = _kernel(device[rows], device[rows], LENGTH) + NOISE_SHARE * np.eye(len(rows))
    weights = np.linalg.solve(matrix, read - predicted[rows])
    result: FloatArray = predicted[wanted] + _kernel(device[wanted], device[rows], LENGTH) @ weights
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
