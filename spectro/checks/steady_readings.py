"""Are readings of one print on one scale from first to last? Asked of the readings alone, whatever the order of the patches.

A lamp that changed, a white reference taken again, or another backing partway makes all later patches lighter or darker by
one share. Like recipes have like colours, so that share is fitted together with the colours of the recipes: generalised least
squares, with the Gaussian process of `neighbour_colours.py` as the covariance and what inks do on the whole left open. Where
patches stand in the order of their colours the share is known less well, and its standard error says so.

Measured, charts of published and measured prints: the largest share 0.005 to 0.009; half a chart 4 % lighter: 0.033 to 0.043,
14 to 39 times its standard error (benchmarks/gate.py).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from spectro.checks.neighbour_colours import precision_of
from spectro.maths.row_blocks import one_thread
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.gate import BrokenLaw, Law
from spectro.records.limits import Limits

_BLOCK = 400  # recipes together: the cost grows with the cube
_ENDS, _PLACES = 0.1, 17  # the least share of the rows on one side of a change, and how many places for it are tried
_MOST = 4.0  # times the usual error beyond which a patch weighs no more: misread ones are told by other laws
_ROUNDS = 2
_BLACK = 16.0  # L* below black at which its cube root is zero [CIE-15-2018]: shares of light are shares of L* plus this


@dataclass(frozen=True, slots=True)
class Change:
    """What later readings are lighter by than earlier ones of like recipes."""

    share: float  # of the light; below zero: darker
    sure: float  # times its standard error
    before: int  # readings before the change, in the order it was found in
    first: int  # the row of the first reading after it


def judged_steady(
    ids: tuple[str, ...], ink: FloatArray, lab: FloatArray, places: FloatArray | IntArray | None, limits: Limits
) -> tuple[Law | None, BrokenLaw | None]:
    """Return whether readings changed partway by more than prints and instruments do; (None, None) for too few.

    ink: (n, inks), 0 to 1. lab: (n, 3). places: (n, 3) page, row, column; None or (0, 3) where they are not known.
    """
    if len(ink) < limits["steady_patches"]:
        return None, None
    found = [change_partway(ink, lab, order) for order in _orders(len(ink), places)]
    largest = max(found, key=lambda one: one.sure)
    if largest.sure < limits["steady_sure"] or abs(largest.share) <= limits["steady_share"]:
        return Law.STEADY, None
    return Law.STEADY, BrokenLaw(
        law=Law.STEADY,
        found=abs(largest.share),
        limit=limits["steady_share"],
        weight=1.0,
        detail="lighter" if largest.share > 0 else "darker",
        patches=(ids[largest.first],),
    )


def change_partway(ink: FloatArray, lab: FloatArray, order: IntArray) -> Change:
    """Return the change that is surest among those at some place of an order of readings.

    ink: (n, inks), 0 to 1. lab: (n, 3). order: (n,) rows, first to last.
    """
    count = len(ink)
    after = np.unique(np.round(np.linspace(_ENDS, 1 - _ENDS, _PLACES) * count).astype(int))
    rank = np.empty(count, dtype=np.int64)
    rank[order] = np.arange(count)
    gain, weight, left = np.zeros(len(after)), np.zeros(len(after)), 0.0
    shuffled = np.random.default_rng(20260105).permutation(count)
    with one_thread():
        for block in np.array_split(shuffled, -(-count // _BLOCK)):
            precision = precision_of(ink[block])
            light = lab[block, 0]
            values = _without_strays(precision, light - light.mean())
            precision = _whatever_inks_do(precision, ink[block])
            steps = (rank[block][:, None] >= after) * ((light + _BLACK) / 3.0)[:, None]
            weighed = precision @ steps
            gain += weighed.T @ values
            weight += (weighed * steps).sum(axis=0)
            left += float(values @ precision @ values)
    if left <= 0 or not (weight > 0).all():
        return Change(0.0, 0.0, 0, 0)
    shares = gain / weight
    sure = np.abs(shares) * np.sqrt(weight * count / left)
    best = int(sure.argmax())
    return Change(float(shares[best]), float(sure[best]), int(after[best]), int(order[after[best]]))


def _whatever_inks_do(precision: FloatArray, ink: FloatArray) -> FloatArray:
    """Return a precision (n, n) that leaves open what inks (n, inks) do on the whole: level, slopes, bends, each with each.

    Where a chart begins another amount of an ink at the very place of a change, the two cannot be told apart.
    """
    first, second = np.triu_indices(ink.shape[1])
    terms = np.concatenate([np.ones((len(ink), 1)), ink, ink[:, first] * ink[:, second]], axis=1)
    weighed = precision @ terms
    left: FloatArray = precision - weighed @ np.linalg.pinv(terms.T @ weighed, hermitian=True) @ weighed.T
    return left


def _without_strays(precision: FloatArray, values: FloatArray) -> FloatArray:
    """Return values (n,) with those drawn in that are far from what the others say of them."""
    for _ in range(_ROUNDS):
        away = (precision @ values) / np.diag(precision)
        most = _MOST * float(np.median(np.abs(away)))
        values = values - (away - np.clip(away, -most, most))
    return values


def _orders(count: int, places: FloatArray | IntArray | None) -> Iterator[IntArray]:
    """Yield the orders in which readings may have been taken: as they stand, and by rows or columns of the chart."""
    yield np.arange(count)
    if places is not None and len(places) == count:
        page, row, column = np.asarray(places).T
        yield np.lexsort((column, row, page))
        yield np.lexsort((row, column, page))
