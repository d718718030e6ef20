"""How near a printer comes to given colours: the best device values for each, by its model.

References: [Sharma-2005] the difference that is made least. The search is a pattern search over device values: it needs no
slopes, heeds limits by not stepping over them, and ends where no step of a 2000th in any direction is better.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray

Colours = Callable[[FloatArray], FloatArray]
"""Lab (n, 3) of device values (n, channels), 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachSettings:
    """How the search goes. Tried on 100 colours inside and outside of two prints: see `benchmarks/aims.md`."""

    nodes: tuple[int, ...] = (0, 65, 65, 25, 13)  # of a first grid, by channels; more channels: colours scattered
    scattered: int = 40_000
    used: float = 0.5  # share of the channels of a scattered recipe that print at all
    looked_at: int = 6_000  # of them, from which starts are chosen by their ΔE00
    starts: int = 6  # that are gone on from
    apart: float = 0.3  # in device values, that starts lie apart: far outside several places look nearest
    first: float = 0.06
    last: float = 0.0005
    polish: float = 0.01  # first step with the model itself, after the search in a grid of it
    most_diagonal: int = 4  # channels up to which a step may move all of them at once


def nearest_recipes(
    colours: Colours, wanted: FloatArray, channels: int, total: float | None = None
) -> tuple[FloatArray, FloatArray]:
    """Return the device values (n, channels) that come nearest to wanted Lab (n, 3) in ΔE00, and that difference (n,).

    colours: the printer's model. total: largest sum of device values, of inks (3.0 is 300 %); None: no limit.
    """
    rules = ReachSettings()
    start, quick = _first(colours, channels, total, rules)
    few = start[:: max(1, len(start) // rules.looked_at)]
    known = quick(few)
    best = np.array([_starts(delta_e_2000(one, known), few, rules) for one in wanted])
    several = rules.starts
    goals = np.repeat(wanted, several, axis=0)
    found, left = _search(quick, goals, few[best.ravel()], total, rules, rules.first)
    pick = np.argmin(left.reshape(-1, several), axis=1) + several * np.arange(len(wanted))
    return _search(colours, wanted, found[pick], total, rules, rules.polish)


def _starts(apart: FloatArray, device: FloatArray, rules: ReachSettings) -> IntArray:
    """Return the rows of the nearest recipes that lie apart from each other, the nearest repeated where there are fewer."""
    found: list[int] = []
    left = apart.copy()
    while len(found) < rules.starts and np.isfinite(left).any():
        found.append(int(np.argmin(left)))
        left[np.abs(device - device[found[-1]]).max(axis=1) < rules.apart] = np.inf
    return np.array([*found, *[found[0]] * (rules.starts - len(found))])


def _first(colours: Colours, channels: int, total: float | None, rules: ReachSettings) -> tuple[FloatArray, Colours]:
    """Return device values (m, channels) to start from, and a quick stand-in of the model: linear in a grid of it."""
    if channels >= len(rules.nodes):
        rng = np.random.default_rng(1)
        drawn = rng.random((rules.scattered, channels)) * (rng.random((rules.scattered, channels)) < rules.used)
        corners = np.array(list(itertools.product((0.0, 1.0), repeat=channels)))
        every = np.vstack([corners, drawn])
        return (every if total is None else every[every.sum(axis=1) <= total]), colours
    axes = [np.linspace(0, 1, rules.nodes[channels])] * channels
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    flat = grid.reshape(-1, channels)
    lab = colours(flat)
    quick = RegularGridInterpolator(axes, lab.reshape(*grid.shape[:-1], 3))
    return (flat if total is None else flat[flat.sum(axis=1) <= total]), lambda device: np.asarray(quick(device))


def _search(
    colours: Colours, wanted: FloatArray, start: FloatArray, total: float | None, rules: ReachSettings, first: float
) -> tuple[FloatArray, FloatArray]:
    """Go from each start to where no step is better; steps are halved where none is."""
    device = start.copy()
    left = np.atleast_1d(delta_e_2000(wanted, colours(device)))
    step = np.full(len(device), first)
    ways = _ways(device.shape[1], rules)
    while (going := np.flatnonzero(step >= rules.last)).size:
        tried = np.clip(device[going, None] + step[going, None, None] * ways, 0.0, 1.0)
        away = np.atleast_1d(
            delta_e_2000(wanted[going, None], colours(tried.reshape(-1, device.shape[1])).reshape(*tried.shape[:2], 3))
        )
        if total is not None:
            away = np.where(tried.sum(axis=2) <= total + 1e-9, away, np.inf)
        best: IntArray = np.argmin(away, axis=1)
        rows = np.arange(len(going))
        better = away[rows, best] < left[going] - rules.last * left[going]
        device[going[better]] = tried[rows, best][better]
        left[going[better]] = away[rows, best][better]
        step[going[~better]] /= 2
    return device, left


def _ways(channels: int, rules: ReachSettings) -> FloatArray:
    """Return the directions of steps: all neighbours of a grid point, or single channels and pairs where those are many."""
    if channels <= rules.most_diagonal:
        every = np.array(list(itertools.product((-1.0, 0.0, 1.0), repeat=channels)))
        return every[np.any(every != 0, axis=1)]
    single = np.vstack([np.eye(channels), -np.eye(channels)])
    pairs = [
        first * np.eye(channels)[one] + second * np.eye(channels)[other]
        for one, other in itertools.combinations(range(channels), 2)
        for first, second in itertools.product((-1.0, 1.0), repeat=2)
    ]
    return np.vstack([single, *pairs])
