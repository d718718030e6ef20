"""Light inks as channels of their own: how a light ink and its full ink share the work of one, smoothly.

An amount v that the full ink alone would have is laid by both. The light ink carries light tones alone; then it gives way
along a smooth step, gone before full tones, while as much of the full ink comes in as keeps the colour:

    light(v) = alone(v) · (1 - S((v - from) / (to - from))),   S(x) = x³ (10 - 15 x + 6 x²) held to 0 … 1

alone(v) is the light ink that prints what v of the full ink prints, as far as it can. Where the total area is nearly used up,
and where black is heavy, whose dots hide all others, the light ink fades as well. Ours, no source: benchmarks/inks.md.
"""

from dataclasses import dataclass

import numpy as np

from spectro.maths.penalised_spline import fit_rising
from spectro.maths.slopes import SlopedLattice
from spectro.records.arrays import FloatArray, keep_floats

_FROM, _TO = 0.4, 2.8  # of the full ink that the light ink at full tone is worth: where it begins to give way, and is gone
_GONE = 0.85  # of the full ink at the latest
_AMOUNTS = np.linspace(0, 1, 101)
_TRIED = np.linspace(0, 1, 1001)
_ROOM = 0.5  # of total area, over which light inks fade before the limit
_HIDDEN = (0.35, 0.85)  # of black, over which they fade


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightPair:
    """A light ink with its full ink, and how they share."""

    light: int  # places among the channels
    full: int
    light_of: FloatArray  # (101,), of the light ink for an amount of the full ink alone, evenly from 0 to 1
    full_of: FloatArray  # (101,), of the full ink beside it

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "light_of", "full_of")


def light_pair(lattice: SlopedLattice, inks: int, light: int, full: int) -> LightPair:
    """Return how a light ink and its full ink share, by the table of a print from inks to Lab."""

    def ramp(ink: int, amounts: FloatArray) -> FloatArray:
        device = np.zeros((inks, len(amounts)))
        device[ink] = amounts
        return lattice.values(device).T

    wanted, own = ramp(full, _AMOUNTS), ramp(light, _TRIED)
    nearest = np.linalg.norm(wanted[:, None] - own[None], axis=2).argmin(axis=1)
    alone = np.maximum.accumulate(_TRIED[nearest])
    worth = float(_AMOUNTS[np.flatnonzero(alone >= alone[-1] - 1e-9)[0]])
    start, end = _FROM * worth, min(_TO * worth, _GONE)
    way = np.clip((_AMOUNTS - start) / max(end - start, 1e-6), 0, 1)
    light_of = _even(alone) * (1 - way**3 * (10 - 15 * way + 6 * way**2))
    both = np.zeros((inks, len(_AMOUNTS), len(_TRIED)))
    both[light], both[full] = light_of[:, None], _TRIED[None]
    colours = lattice.values(both.reshape(inks, -1)).T.reshape(len(_AMOUNTS), len(_TRIED), 3)
    full_of = _TRIED[np.linalg.norm(colours - wanted[:, None], axis=2).argmin(axis=1)]
    full_of = np.where(way >= 1, _AMOUNTS, np.where(way <= 0, 0.0, full_of))
    return LightPair(light=light, full=full, light_of=light_of, full_of=np.clip(_even(full_of), 0, 1))


def _even(amounts: FloatArray) -> FloatArray:
    """Return amounts as a smooth curve that does not fall."""
    ends = np.zeros(len(amounts))
    ends[[0, -1]] = 1
    return np.asarray(fit_rising(_AMOUNTS, np.maximum.accumulate(amounts), np.ones(len(amounts)), ends)(_AMOUNTS))


def shared(inks: FloatArray, pairs: tuple[LightPair, ...], total: float, black: int | None) -> FloatArray:
    """Return inks (n, c) of which light inks take their part, for inks without them.

    total: limit, 1 for 100 %. black: the place of the black ink.
    """
    found = inks.copy()
    room = np.clip((total - inks.sum(axis=1)) / _ROOM, 0, 1)
    room = room**2 * (3 - 2 * room)
    if black is not None:
        hidden = np.clip((inks[:, black] - _HIDDEN[0]) / (_HIDDEN[1] - _HIDDEN[0]), 0, 1)
        room *= 1 - hidden**2 * (3 - 2 * hidden)
    for pair in pairs:
        amount = inks[:, pair.full]
        light = np.interp(amount, _AMOUNTS, pair.light_of)
        full = np.interp(amount, _AMOUNTS, pair.full_of)
        found[:, pair.light] = room * light
        found[:, pair.full] = amount + room * (full - amount)
    return found
