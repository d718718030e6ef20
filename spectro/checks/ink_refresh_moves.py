"""What likely changes do to the colours of inks behind a RIP, read off a device model along the inks themselves.

An ink prints larger or smaller dots (another tone curve: the slope of colour along the ink, by a smooth curve of its amount),
it is denser, weaker or of another hue (what it adds to the density of each band, by a share), it lies otherwise on other inks
(what it adds, where they lie), all inks do so together, or the paper changes. Each ink moves as freely as its own likelihood
says: most often one changes and not the others.

References: [ICC.1-2022] the linear Bradford transform, for the bands.
"""

from collections.abc import Callable

import numpy as np

from spectro.checks.demand_moves import smooth_curves
from spectro.checks.drift_moves import white_moves
from spectro.colour.adaptation import BRADFORD
from spectro.colour.lab import lab_to_xyz, xyz_to_lab
from spectro.model.drift_term import Moves, Place
from spectro.model.ink_kernel import InkHyperparameters
from spectro.model.kernel import warp
from spectro.records.arrays import FloatArray

TONE, DENSITY, HUE, TRAPPING, PAPER = 0.05, 0.1, 0.06, 0.1, 3.0
"""One standard deviation, before the freedom that the likelihood finds: of an ink's amount, of what it adds to a density, of
that in one band alone, of that on other inks; the paper's in percent. Chosen on benchmarks/refresh_inks.py."""
_NODES, _REACH = 6, 0.35  # of curves over an ink's amount, as demand_moves
_REST_REACH = 0.8  # of the smooth rest, warped inks
_STEP = 0.01  # of an ink, for slopes
_FROM_PAPER = 4  # power by which curves leave bare paper: 1 - (1 - ink)^4
_BACK = np.linalg.inv(BRADFORD).T
_LEAST = 1e-3


def ink_refresh_moves(predict: Callable[[FloatArray], FloatArray], inks: int) -> Moves:
    """Return the moves of likely changes of inks. predict: device values (n, inks), 0 to 1, to Lab, of the old state."""
    white = np.maximum(lab_to_xyz(predict(np.zeros((1, inks)))) @ BRADFORD.T, _LEAST)[0]

    def density(device: FloatArray) -> FloatArray:
        cones = np.maximum(lab_to_xyz(predict(device)) @ BRADFORD.T, _LEAST)
        return np.asarray(-np.log10(cones / white))

    def moves(device: FloatArray) -> tuple[FloatArray, ...]:
        device = np.asarray(device, dtype=np.float64)
        whole = density(device)
        lab = xyz_to_lab((white * 10**-whole) @ _BACK)

        def denser(more: FloatArray) -> FloatArray:
            return np.asarray(xyz_to_lab((white * 10 ** -(whole + more)) @ _BACK) - lab)

        every = range(inks)
        curves = [_tone_curves(device, ink, predict) for ink in every]
        added = [np.maximum(whole - density(np.where(np.arange(inks) == ink, 0.0, device)), 0.0) for ink in every]
        covered = [1 - np.prod(1 - np.delete(device, ink, axis=1), axis=1)[:, None] for ink in every]
        strengths = [np.stack([denser(DENSITY * one), *(denser(HUE * one * band) for band in np.eye(3))]) for one in added]
        together = np.concatenate([np.sum(curves, axis=0), denser(DENSITY * whole)[None]])
        trapping = np.stack([denser(TRAPPING * one * under) for one, under in zip(added, covered, strict=True)])
        paper = PAPER * white_moves(lab, white, whole[:, 2:])
        return (*curves, *strengths, together, trapping, paper)

    return moves


def even_place(device: FloatArray) -> FloatArray:
    """Return where inks lie for the smooth rest of a drift where no model of the old colours tells more."""
    return np.asarray(device, dtype=np.float64) / _REST_REACH


def ink_place(hyperparameters: InkHyperparameters) -> Place:
    """Return where inks lie for the smooth rest of a drift: as warped for the old model's colours, one reach for all."""

    def place(device: FloatArray) -> FloatArray:
        return warp(np.asarray(device), hyperparameters.warp_first, hyperparameters.warp_second) / _REST_REACH

    return place


def _tone_curves(device: FloatArray, ink: int, predict: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Return moves (k, n, 3) of Lab for more of an ink, by smooth curves of its amount that leave paper as it is."""
    low, high = device.copy(), device.copy()
    low[:, ink], high[:, ink] = np.maximum(device[:, ink] - _STEP, 0), np.minimum(device[:, ink] + _STEP, 1)
    slopes = (predict(high) - predict(low)) / (high - low)[:, [ink]]
    amount = device[:, ink]
    shares = smooth_curves(amount, _NODES, _REACH) * (1 - (1 - amount) ** _FROM_PAPER)
    return np.asarray(TONE * shares[:, :, None] * slopes)
