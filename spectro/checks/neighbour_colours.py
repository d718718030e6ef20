"""Each patch's colour predicted from the recipes around it, with a model that needs no fit: rough, and quick.

A Gaussian process of fixed length, Matérn 5/2 with a linear mean; left-out errors in closed form. It cannot say how good a
print is, only whether like recipes have like colours, and whether strips stand out among all others.
"""

from collections.abc import Sequence

import numpy as np

from spectro.maths.row_blocks import one_thread
from spectro.model.kernel import matern
from spectro.model.likelihood import half_determinant_and_inverse
from spectro.records.arrays import FloatArray, IntArray

_LENGTH, _NOISE = 1.0, 0.003  # device values, share of the process's variance
_BLOCK = 800  # patches predicted from one another at a time: the cost grows with the cube
_MOST = 6.0  # times the usual error beyond which a patch weighs no more in its strip


def left_out_errors(points: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return what each row is off from what the others predict (n, m), and how far it may be off, relatively (n,).

    points: (n, channels), ink 0 to 1. values: (n, m), any scale.
    """
    inverse = precision_of(points)
    precision = np.diag(inverse)
    return (inverse @ (values - values.mean(axis=0))) / precision[:, None], 1.0 / np.sqrt(precision)


def precision_of(points: FloatArray) -> FloatArray:
    """Return the inverse of the covariance (n, n) of colours of recipes (n, channels), ink 0 to 1, but for their scale."""
    covariance = matern(points / _LENGTH, points / _LENGTH)
    covariance.ravel()[:: len(points) + 1] += _NOISE
    linear = np.concatenate([np.ones((len(points), 1)), points], axis=1)
    covariance += 10.0 * linear @ linear.T
    return half_determinant_and_inverse(covariance)[1]


def standing_out(ink: FloatArray, lab: FloatArray, strips: Sequence[IntArray]) -> tuple[float, float]:
    """Return by how much the strip and the patch stand out that fit worst: times the usual error of a patch.

    ink: (n, channels), 0 to 1. lab: (n, 3). strips: the rows of each. Right charts whose patches stand in no order have
    strips of up to 2.3; a misread strip has 5 and more.
    """
    errors = np.empty(len(ink))
    order = np.random.default_rng(20260104).permutation(len(ink))
    with one_thread():
        for block in np.array_split(order, -(-len(ink) // _BLOCK)):
            off, spread = left_out_errors(ink[block], lab[block])
            errors[block] = np.sqrt((off**2).sum(axis=1)) / spread
    usual = max(float(np.median(errors)), 1e-12)
    worst = max(float(np.minimum(errors[rows], _MOST * usual).mean()) for rows in strips if len(rows))
    return worst / usual, float(errors.max()) / usual
