"""Patches that leave a model the least expected error: always the one whose reading lowers it most.

The expected error at a place is the variance that a Gaussian process keeps there after the readings; where patches lie
decides it, what they read does not. Each choice takes the greatest reduction of its mean over reference places
[Cohn-1996], and a few choices are made again at the end. Several ideas of a printer are asked at once: the mean of each
counts relative to what is left of it, so that a smooth printer, whose error is small, has its say. A quadratic in device
values is left open, as in the device model.
"""

from collections.abc import Sequence

import numpy as np
from threadpoolctl import threadpool_limits

from spectro.chart.likely_curves import LikelyCurves, correlation
from spectro.records.arrays import FloatArray, IntArray

_MEAN_VARIANCE = 10.0  # of each coefficient of the quadratic, signal variance 1: nearly free (no source)
_REFRESH = 48  # choices between two exact sums; between them single precision is carried on
_CONTENDING = 1 - 1e-4  # shares of the best gain, in single precision, that are summed again in double
_EQUAL = 1 - 1e-9  # shares of the best gain that count as equal: another processor rounds otherwise
_FIRST = 48  # after each of the first patches sums are exact: each takes away nearly all there was


class _Expected:
    """The expected error of one idea of a printer, and what each candidate would take off it; changes with each choice."""

    def __init__(
        self,
        curves: LikelyCurves,
        candidates: FloatArray,
        chosen: FloatArray,
        places: FloatArray,
        weights: FloatArray,
        room: int,
    ) -> None:
        self.noise, self.share = curves.noise, curves.share
        self.weights = weights
        self.placed, self.terms = curves.place(candidates), _quadratic(candidates)
        known, known_terms = curves.place(chosen), _quadratic(chosen)
        where, where_terms = curves.place(places), _quadratic(places)
        covariance = correlation(known, known) + _MEAN_VARIANCE * known_terms @ known_terms.T
        covariance[np.diag_indices(len(known))] += self.noise
        factor = np.linalg.cholesky(covariance)
        self.done = len(known)
        self.rows = np.zeros((self.done + room, len(candidates)))
        self.rows[: self.done] = np.linalg.solve(
            factor, correlation(known, self.placed) + _MEAN_VARIANCE * known_terms @ self.terms.T
        )
        there = np.linalg.solve(factor, correlation(known, where) + _MEAN_VARIANCE * known_terms @ where_terms.T)
        between = correlation(where, self.placed) + _MEAN_VARIANCE * where_terms @ self.terms.T
        between -= there.T @ self.rows[: self.done]
        self.at_first, self.known = between, self.done  # covariances before any choice
        self.between = between.astype(np.float32)
        self.variance = 1 + _MEAN_VARIANCE * (self.terms**2).sum(axis=1) - (self.rows[: self.done] ** 2).sum(axis=0)
        left = 1 + _MEAN_VARIANCE * (where_terms**2).sum(axis=1) - (there**2).sum(axis=0)
        self.error = float(weights @ left)
        self.signs = np.ones(self.done + room)
        self.there = np.zeros((room, len(places)))  # of each choice, as `rows` without the known
        self.recent = np.zeros((0, len(places)))
        self._sum()

    def _sum(self) -> None:
        """Bring the covariances up to date and sum their squares anew."""
        count = len(self.recent)
        if count:
            latest = self.signs[self.done - count : self.done, None] * self.rows[self.done - count : self.done]
            self.between -= self.recent.T.astype(np.float32) @ latest.astype(np.float32)
        self.recent = np.zeros((0, len(self.weights)))
        self.squares = (self.weights.astype(np.float32) @ (self.between**2)).astype(np.float64)

    def gains(self) -> FloatArray:
        """Return the share (n,) of the error that is left which a reading of each candidate would take off."""
        return self._shares(self.squares, self.variance)

    def exact_gains(self, rows: IntArray) -> FloatArray:
        """Return the gains of some candidates (k,) summed in double precision: what nearly equal ones are told apart by."""
        return self._shares(self.weights @ self._columns(rows) ** 2, self.variance[rows])

    def _shares(self, squares: FloatArray, variance: FloatArray) -> FloatArray:
        gains: FloatArray = self.share * squares / ((np.maximum(variance, 0) + self.noise) * max(self.error, 1e-12))
        return gains

    def _columns(self, rows: IntArray) -> FloatArray:
        """Return the covariances (places, k) with some candidates, in double precision."""
        made = slice(self.known, self.done)
        latest = self.signs[made, None] * self.rows[made, rows]
        columns: FloatArray = self.at_first[:, rows] - self.there[: self.done - self.known].T @ latest
        return columns

    def choose(self, row: int) -> None:
        """Take the reading of a candidate into account."""
        self._change(row, 1.0, 1.0, np.sqrt(max(self.variance[row], 0) + self.noise))

    def release(self, row: int) -> None:
        """Forget the reading of a candidate that was chosen."""
        gone = self.noise / (self.noise - self.variance[row])  # covariances with it grow by as much without its reading
        self._change(row, -1.0, gone, np.sqrt(gone * self.variance[row] + self.noise))

    def _change(self, row: int, sign: float, factor: float, root: float) -> None:
        """Subtract (sign 1) or add (−1) the square of the covariance with row, times factor, over root."""
        count = len(self.recent)
        latest = self.rows[self.done - count : self.done]
        signs = self.signs[: self.done]
        recent_signs = self.signs[self.done - count : self.done]
        there = self._columns(np.array([row]))[:, 0] * (factor / root)
        weighted = self.weights * there
        carried = weighted.astype(np.float32) @ self.between - (recent_signs * (self.recent @ weighted)) @ latest
        here = correlation(self.placed, self.placed[row : row + 1])[:, 0] + _MEAN_VARIANCE * self.terms @ self.terms[row]
        here -= (signs * self.rows[: self.done, row]) @ self.rows[: self.done]
        here *= factor / root
        reduction = float(weighted @ there)
        self.squares += here * (here * reduction - sign * 2 * carried)
        self.variance -= sign * here**2
        self.error -= sign * reduction
        self.rows[self.done], self.signs[self.done] = here, sign
        self.there[self.done - self.known] = there
        self.done += 1
        self.recent = np.vstack([self.recent, there])
        if len(self.recent) == _REFRESH or self.done - self.known < _FIRST:
            self._sum()


def least_error_rows(
    candidates: FloatArray,
    chosen: FloatArray,
    places: FloatArray,
    weights: FloatArray,
    count: int,
    ideas: Sequence[LikelyCurves],
    exchanges: int = 0,
) -> IntArray:
    """Return the rows (count,) of candidates whose readings leave the least error.

    candidates: (n, 3), n at least count; chosen: (m, 3), patches that are there already, m at least 1; places: (r, 3),
    where errors count, weights: (r,), how much. All device values, 0 to 1. The lowest row on a tie.
    exchanges: as many of the rows, the first ones first, are taken back at the end and chosen again in view of the rest.
    """
    free = np.ones(len(candidates), dtype=bool)
    picked = np.empty(count, dtype=np.int64)
    weights = weights / weights.sum()
    exchanges = min(exchanges, count)
    with threadpool_limits(1):  # sums in one order, whatever the number of cores
        room = count + 2 * exchanges
        expected = [_Expected(curves, candidates, chosen, places, weights, room) for curves in ideas]
        for turn in range(count + exchanges):
            index = turn % count
            if turn >= count:
                free[picked[index]] = True
                for error in expected:
                    error.release(int(picked[index]))
            gains = np.sum([error.gains() for error in expected], axis=0)
            gains = np.where(free, gains, -np.inf)
            close = np.flatnonzero(gains >= gains.max() * _CONTENDING)
            exact = np.sum([error.exact_gains(close) for error in expected], axis=0)
            best = int(close[int((exact >= exact.max() * _EQUAL).argmax())])
            picked[index], free[best] = best, False
            for error in expected:
                error.choose(best)
    return picked


def _quadratic(device: FloatArray) -> FloatArray:
    """Return the terms (n, 10) of a quadratic in device values (n, 3)."""
    red, green, blue = device.T
    return np.column_stack([np.ones(len(device)), device, device**2, red * green, green * blue, blue * red])
