"""The correlation of the device model for inks: a product over inks, each alone, and the amount of ink all together.

Between warped inks u and u' at a distance d, with s = sqrt(5) d / l, an ink correlates as

    (1 + w m(s)) / (1 + w),    m(s) = (1 + s + s² / 3) exp(-s),

m the Matérn 5/2 class [Rasmussen-Williams-2006]: for a small w it only shifts what the other inks do, for a large w it shapes
all of it. The correlation is the product of these over all inks, of 0.1 + 0.9 a(x) a(x') with a(x) = exp(-Σ p u): the more
ink, the less another still changes; and of m for the sum of all inks. The warp is that of `kernel.py`. Benchmarks/inks.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.row_blocks import in_row_blocks
from spectro.model.kernel import warp
from spectro.records.arrays import FloatArray, keep_floats

_NODES = 16  # of one half, worked on at a time
_CELLS = 60_000  # correlations computed at once: they and what they are made of stay in the cache
KEPT = 0.1
"""Share of the signal's variance that no ink takes away: without it dark colours were believed in too firmly."""
_SAME = 9  # decimals to which sums of inks of a lattice count as the same


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkHyperparameters:
    """What the likelihood decides: one entry an ink."""

    lengths: FloatArray  # (c,), in warped units
    warp_first: FloatArray  # (c,)
    warp_second: FloatArray  # (c,)
    shares: FloatArray  # (c,), w
    fades: FloatArray  # (c,), p; all 0: none
    sum_length: float  # of the sum of all inks; 0: it does not count
    noise_ratio: float  # variance of one reading's noise over the variance of the signal at the paper
    degree: int = 1  # of the mean in device values

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "lengths", "warp_first", "warp_second", "shares", "fades")

    def place(self, device: FloatArray) -> FloatArray:
        """Return the points (n, c + 2) of device values (n, c), 0 to 1: placed inks, placed sum, logarithm of a."""
        warped = warp(device, self.warp_first, self.warp_second)
        total = device.sum(axis=1) / self.sum_length if self.sum_length else np.zeros(len(device))
        return np.column_stack([np.sqrt(5) * warped / self.lengths, np.sqrt(5) * total, -(warped @ self.fades)])

    def correlation(self, first: FloatArray, second: FloatArray) -> FloatArray:
        """Return the covariance (n, m), over the signal variance at no ink, of points (n, c + 2) and (m, c + 2)."""
        step = max(1, _CELLS // max(len(second), 1))
        columns = np.ascontiguousarray(second.T)
        return np.concatenate(in_row_blocks(lambda rows: self._block(rows, columns), (first,), step))

    def correlation_times(self, first: FloatArray, second: FloatArray, coefficients: FloatArray) -> FloatArray:
        """Return the product (n, j) of `correlation` with coefficients (m, j)."""
        step = max(1, _CELLS // max(len(second), 1))
        columns = np.ascontiguousarray(second.T)

        def block(rows: FloatArray) -> FloatArray:
            product: FloatArray = self._block(rows, columns) @ coefficients
            return product

        return np.concatenate(in_row_blocks(block, (first,), step))

    def variance(self, device: FloatArray) -> FloatArray:
        """Return the variance (n,) of the signal at device values (n, c), over that at no ink."""
        found: FloatArray = KEPT + (1 - KEPT) * np.exp(2 * self.place(device)[:, -1])
        return found

    def _block(self, rows: FloatArray, columns: FloatArray) -> FloatArray:
        channels = len(self.lengths)
        product: FloatArray = KEPT + (1 - KEPT) * np.exp(rows[:, -1:] + columns[-1])
        spare = np.empty((2, *product.shape))
        for ink in range(channels):
            product *= one_ink(rows[:, ink, None], columns[ink], float(self.shares[ink]), spare)
        if self.sum_length:
            product *= near(rows[:, channels, None], columns[channels], spare)
        return product

    def sums(self, levels: FloatArray, columns: FloatArray) -> FloatArray:
        """Return m (k, n) between sums of inks (k,) and the placed sums (n,) of points; ones where the sum does not count."""
        if not self.sum_length:
            return np.ones((len(levels), len(columns)))
        place = np.sqrt(5) * levels[:, None] / self.sum_length
        return near(place, columns, np.empty((2, len(levels), len(columns))))


def near(first: FloatArray, second: FloatArray, spare: FloatArray) -> FloatArray:
    """Return m(s) of places first and second, that broadcast, in spare[0]; spare (2, …) holds what it is made of."""
    distance: FloatArray
    distance, decay = spare
    np.subtract(first, second, out=distance)
    np.abs(distance, out=distance)
    np.negative(distance, out=decay)
    np.exp(decay, out=decay)
    distance *= distance * (1 / 3) + 1
    distance += 1
    distance *= decay
    return distance


def one_ink(first: FloatArray, second: FloatArray, share: float, spare: FloatArray) -> FloatArray:
    """Return the correlation of one ink, as `near`."""
    found = near(first, second, spare)
    found *= share / (1 + share)
    found += 1 / (1 + share)
    return found


def lattice_colours(
    hyperparameters: InkHyperparameters, placed: FloatArray, coefficients: FloatArray, axes: list[FloatArray]
) -> FloatArray:
    """Return what kernels around points add at a lattice: the product of `correlation` and coefficients, much faster.

    placed: (n, c + 2). coefficients: (n, j). axes: the device values (k,) of the lattice along every ink.
    Returns (k1, …, kc, j): inks are gathered in two halves, whose products are made once.
    """
    inks, outputs = len(axes), coefficients.shape[1]
    half = inks // 2
    left, right = (_Half.of(hyperparameters, placed, axes, range(first, last)) for first, last in ((0, half), (half, inks)))
    levels, which = np.unique(np.round(left.sums[:, None] + right.sums, _SAME), return_inverse=True)
    which = which.reshape(len(left.sums), len(right.sums))
    sums = hyperparameters.sums(levels, placed[:, inks])
    weighted = np.hstack([KEPT * coefficients, (1 - KEPT) * np.exp(placed[:, -1:]) * coefficients])

    def block(numbers: FloatArray) -> FloatArray:
        found = np.empty((len(numbers), len(right.sums), outputs))
        for place, number in enumerate(numbers[:, 0].astype(np.int64)):
            both = (right.product * sums[which[number]]) @ (left.product[number][:, None] * weighted)
            found[place] = both[:, :outputs] + left.fades[number] * right.fades[:, None] * both[:, outputs:]
        return found

    rows = np.arange(len(left.sums), dtype=np.float64)[:, None]
    return np.concatenate(in_row_blocks(block, (rows,), _NODES)).reshape(*[len(axis) for axis in axes], outputs)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Half:
    """Some inks at all nodes (k) of their axes, seen from points (n)."""

    product: FloatArray  # (k, n), of the inks' correlations
    fades: FloatArray  # (k,), of a
    sums: FloatArray  # (k,)

    @classmethod
    def of(cls, hyperparameters: InkHyperparameters, placed: FloatArray, axes: list[FloatArray], inks: range) -> "_Half":
        product, fades, sums = np.ones((1, len(placed))), np.ones(1), np.zeros(1)
        for ink in inks:
            levels, one = axes[ink], slice(ink, ink + 1)
            warped = warp(levels[:, None], hyperparameters.warp_first[one], hyperparameters.warp_second[one])
            place = np.sqrt(5) * warped / hyperparameters.lengths[ink]
            spare = np.empty((2, len(levels), len(placed)))
            found = one_ink(place, placed[:, ink], float(hyperparameters.shares[ink]), spare)
            product = (product[:, None] * found).reshape(-1, len(placed))
            fades = np.outer(fades, np.exp(-hyperparameters.fades[ink] * warped[:, 0])).ravel()
            sums = np.add.outer(sums, levels).ravel()
        return cls(product=product, fades=fades, sums=sums)
