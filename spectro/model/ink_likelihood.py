"""Marginal likelihood of the hyperparameters of inks, with analytic gradients.

L*, a* and b* share one correlation; each has its own variance and linear mean, found in closed form, as in `likelihood.py`.
With K the covariance without noise, G the slope of the negative log likelihood by the covariance and P = G ∘ K, a parameter t
of one factor f of K has the slope sum(P ∘ d log f / dt). Reference: [Rasmussen-Williams-2006], marginal likelihood and its
partial derivatives.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from spectro.model.ink_kernel import KEPT, InkHyperparameters
from spectro.model.kernel import warp, warp_slopes
from spectro.model.likelihood import mean_terms, value_and_slope
from spectro.records.arrays import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class InkBeliefs:
    """What is believed of the logarithms before readings are looked at, and how far they may go. Ours, benchmarks/inks.md."""

    length: float = 0.8
    length_spread: float = 1.5
    warp_spread: float = 0.8
    share: float = 1.0
    share_spread: float = 3.0
    fade_middle: float = 0.5  # of a fade itself
    fade_spread: float = 1.0
    sum_length: float = 2.0
    sum_spread: float = 1.0
    noise: float = 1e-4  # where the search starts
    widest: float = 4.0  # largest exponent of a warp, and one over the smallest


BELIEFS = InkBeliefs()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkSearch:
    """A search of hyperparameters: which parts of the kernel take part, and the readings.

    A point of the search is (lengths, first and second warp exponents, shares, fades, sum, noise), (5 c + 2,): fades as they
    are, all others as logarithms. What takes no part has no slope.
    """

    device: FloatArray  # (n, c)
    lab: FloatArray  # (n, 3)
    counts: FloatArray  # (n,)
    fading: bool = True  # whether the signal fades with inks
    summing: bool = True  # whether the sum of inks counts

    @property
    def channels(self) -> int:
        """How many inks."""
        return int(self.device.shape[1])

    def start(self) -> FloatArray:
        """Return the point where nothing is known."""
        c = self.channels
        middle = [np.log(BELIEFS.length), 0.0, 0.0, np.log(BELIEFS.share), BELIEFS.fade_middle if self.fading else 0.0]
        return np.concatenate([np.repeat(middle, c), [np.log(BELIEFS.sum_length), np.log(BELIEFS.noise)]])

    def bounds(self) -> list[tuple[float, float]]:
        """Return the range of every entry of a point."""
        c, wide = self.channels, np.log(BELIEFS.widest)
        fade = (0.0, 4.0) if self.fading else (0.0, 0.0)
        lengths, shares = (np.log(0.05), np.log(40.0)), (np.log(1e-2), np.log(1e3))
        rows = [*[lengths] * c, *[(-wide, wide)] * (2 * c), *[shares] * c, *[fade] * c]
        return [*rows, (np.log(0.3), np.log(40.0)), (np.log(1e-8), np.log(0.1))]

    def hyperparameters(self, point: FloatArray) -> InkHyperparameters:
        """Return the hyperparameters of a point."""
        c = self.channels
        lengths, first, second, shares = np.exp(point[: 4 * c]).reshape(4, c)
        return InkHyperparameters(
            lengths=lengths,
            warp_first=first,
            warp_second=second,
            shares=shares,
            fades=point[4 * c : 5 * c],
            sum_length=float(np.exp(point[-2])) if self.summing else 0.0,
            noise_ratio=float(np.exp(point[-1])),
        )

    def point(self, found: InkHyperparameters) -> FloatArray:
        """Return the point of hyperparameters."""
        logarithms = np.log([*found.lengths, *found.warp_first, *found.warp_second, *found.shares])
        total = np.log(found.sum_length if self.summing and found.sum_length else BELIEFS.sum_length)
        return np.concatenate([logarithms, found.fades if self.fading else 0 * found.fades, [total, np.log(found.noise_ratio)]])

    def value(self, point: FloatArray) -> tuple[float, FloatArray]:
        """Return the negative log marginal likelihood with priors, without constants, and its slopes, at a point."""
        n, c = self.device.shape
        hyper = self.hyperparameters(point)
        warped = warp(self.device, hyper.warp_first, hyper.warp_second)
        factors = [_Factor.of(np.sqrt(5) * warped[:, ink] / hyper.lengths[ink], float(hyper.shares[ink])) for ink in range(c)]
        if self.summing:
            factors.append(_Factor.of(np.sqrt(5) * self.device.sum(axis=1) / hyper.sum_length, np.inf))
        fading = -(warped @ hyper.fades)
        faded = (1 - KEPT) * np.exp(fading[:, None] + fading)
        covariance = KEPT + faded
        faded /= covariance  # the share of each covariance that fades
        for factor in factors:
            covariance *= factor.value
        signal = covariance.copy()
        covariance.ravel()[:: n + 1] += hyper.noise_ratio / self.counts
        value, by_covariance = value_and_slope(covariance, mean_terms(self.device, hyper.degree), self.lab)
        noise_slope = float((np.diag(by_covariance) * hyper.noise_ratio / self.counts).sum())
        pull = np.multiply(by_covariance, signal, out=signal)
        slopes = np.zeros_like(point)
        by_warped = np.empty((n, c))
        through = np.einsum("ij,ij->i", pull, faded)
        for ink, factor in enumerate(factors[:c]):
            at_place, slopes[3 * c + ink] = factor.slopes(pull)
            by_warped[:, ink] = at_place * np.sqrt(5) / hyper.lengths[ink] - 2 * through * hyper.fades[ink]
            slopes[ink] = -(at_place * factor.place).sum()
        if self.summing:
            at_place, _ = factors[c].slopes(pull)
            slopes[5 * c] = -(at_place * factors[c].place).sum()
        by_first, by_second = warp_slopes(self.device, hyper.warp_first, hyper.warp_second)
        slopes[c : 2 * c] = (by_warped * by_first).sum(axis=0) * hyper.warp_first
        slopes[2 * c : 3 * c] = (by_warped * by_second).sum(axis=0) * hyper.warp_second
        if self.fading:
            slopes[4 * c : 5 * c] = -2 * (through @ warped)
        slopes[-1] = noise_slope
        return self._with_beliefs(value, slopes, point)

    def _with_beliefs(self, value: float, slopes: FloatArray, point: FloatArray) -> tuple[float, FloatArray]:
        c = self.channels
        middles = np.repeat([np.log(BELIEFS.length), 0.0, 0.0, np.log(BELIEFS.share), BELIEFS.fade_middle], c)
        spreads = np.repeat(
            [BELIEFS.length_spread, BELIEFS.warp_spread, BELIEFS.warp_spread, BELIEFS.share_spread, BELIEFS.fade_spread], c
        )
        middles, spreads = np.append(middles, np.log(BELIEFS.sum_length)), np.append(spreads, BELIEFS.sum_spread)
        counted = self._counted()
        away = (point[:-1] - middles) / spreads * counted
        slopes[:-1] += away / spreads
        return value + 0.5 * float((away**2).sum()), slopes

    def _counted(self) -> BoolArray:
        c = self.channels
        counted = np.ones(5 * c + 1, dtype=np.bool_)
        counted[4 * c : 5 * c] = self.fading
        counted[5 * c] = self.summing
        return counted


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Factor:
    """One factor of the product kernel over places (n,) on a line."""

    place: FloatArray  # (n,), sqrt(5) and lengths in it
    value: FloatArray  # (n, n)
    shape: FloatArray  # (n, n), m
    bend: FloatArray  # (n, n), (1 + s) exp(-s) / 3: the slope of m by s is -s times this
    share: float

    @classmethod
    def of(cls, place: FloatArray, share: float) -> "_Factor":
        distance = np.abs(place[:, None] - place)
        bend = np.exp(-distance)
        shape = distance * (distance * (1 / 3) + 1)
        shape += 1
        shape *= bend
        distance += 1
        bend *= distance
        bend *= 1 / 3
        value = shape if np.isinf(share) else (1 + share * shape) / (1 + share)
        return cls(place=place, value=value, shape=shape, bend=bend, share=share)

    def slopes(self, pull: FloatArray) -> tuple[FloatArray, float]:
        """Return the slopes by the places (n,), and by the logarithm of the share."""
        if np.isinf(self.share):
            pulled, by_share = pull / self.shape, 0.0
        else:
            inside = pull / (1 + self.share * self.shape)
            pulled = self.share * inside
            by_share = float((inside * self.shape).sum() - pull.sum() / (1 + self.share)) * self.share
        pulled *= self.bend
        # m depends on the distance as -s ds bend: both rows of a pair move it
        return -2 * (pulled.sum(axis=1) * self.place - pulled @ self.place), by_share


def find_ink_hyperparameters(search: InkSearch, point: FloatArray, steps: int) -> tuple[FloatArray, float]:
    """Return the point of greatest marginal likelihood near a point, found in at most so many steps, and its value."""
    from scipy.linalg import LinAlgError

    def value(at: FloatArray) -> tuple[float, FloatArray]:
        try:
            return search.value(at)
        except LinAlgError:  # no covariance in doubles: the search turns back
            return 1e12, np.zeros_like(at)

    low, high = np.array(search.bounds()).T
    found = minimize(
        value,
        np.clip(point, low, high),
        jac=True,
        method="L-BFGS-B",
        bounds=search.bounds(),
        options={"maxiter": steps},
    )
    return found.x, float(found.fun)
