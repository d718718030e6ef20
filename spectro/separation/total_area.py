"""The total area coverage: the least of what was measured, where darkening stops, and a limit stated for the process."""

from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.maths.slopes import SlopedLattice
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.separation.newton_inks import InkTask, hue_metric, nearest_inks

_DRAWN = 60_000
_STEP = 10.0  # of total area, percent: whole numbers, so that no sum of tenths is off
_DIGITS = 4
_LEVELS, _BELOW, _ABOVE = 121, 3.0, 9.0  # neutrals looked at: how many, and L* below and above where the search begins
_STEPS, _REACHED = 20, 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalArea:
    """A total limit, in percent, and what decided it."""

    percent: float
    measured: float  # the largest total of the chart, percent
    darkening: float  # from which on more ink darkens no more, percent
    stated: float | None  # by the user, percent
    decided_by: str  # "stated", "measured", "darkening", "lean" or "usual"

    @property
    def factor(self) -> float:
        """The limit with 1 for 100 %."""
        return self.percent / 100


def total_area(
    lattice: SlopedLattice, device: FloatArray, stated: float | None, limits: Limits, *, lean: bool = False
) -> TotalArea:
    """Return the total limit. device: (n, c), what was measured. stated: percent; None: by the rule. limits: of inks.

    lean: as little as leaves neutrals nearly as dark as they can be.

    Raises InputError for a stated limit below one full ink or above all inks.
    """
    inks = device.shape[1]
    measured = round(100 * float(device.sum(axis=1).max()), _DIGITS)  # no finer than device values are told apart
    darkening = darkening_stops(lattice, inks, measured, limits["darkening_stops"])
    if stated is not None:
        if not limits["least_total"] <= stated <= 100 * inks:
            raise InputError(
                f"a total area of {stated:g} %",
                f"{limits['least_total']:g} to {100 * inks} %",
                "Choose another `total_area`: below a full ink no full colour can be printed.",
            )
        return TotalArea(percent=stated, measured=measured, darkening=darkening, stated=stated, decided_by="stated")
    found: dict[str, float] = {"usual": limits["total_area"], "measured": measured, "darkening": darkening}
    if lean:
        found["lean"] = lean_total(lattice, inks, measured, limits)
    decided = min(found, key=lambda name: found[name])
    return TotalArea(
        percent=max(found[decided], limits["least_total"]),
        measured=measured,
        darkening=darkening,
        stated=None,
        decided_by=decided,
    )


def lean_total(lattice: SlopedLattice, inks: int, most: float, limits: Limits) -> float:
    """Return the least total, percent, that leaves neutrals nearly as dark as they can be, up to most; limits: of inks."""
    return max(darkening_stops(lattice, inks, most, limits["lean_darkening"]), limits["least_total"])


def darkening_stops(lattice: SlopedLattice, inks: int, most: float, near: float) -> float:
    """Return the total, percent, from which on no neutral is darker by more than near (L*) than the darkest within it.

    Neutrals count, not any colour: the darkest of all may be a tinted one that needs few inks.
    """
    random = np.random.default_rng(17)
    device = random.random((_DRAWN, inks))
    ends = random.random(device.shape) < random.random((len(device), 1))
    device[ends] = np.round(device[ends] * 0.5 + 0.5)  # many full inks: the darkest colours hold some
    colours = lattice.values(np.ascontiguousarray(device.T))
    total = 100 * device.sum(axis=1)
    levels = np.arange(100.0, most + _STEP / 2, _STEP)
    counted = colours[0] + np.hypot(colours[1], colours[2])  # a start that is nearly neutral
    starts = device[[np.where(total <= level + 1e-7, counted, np.inf).argmin() for level in levels]]
    darkest = np.array([_darkest_neutral(lattice, level / 100, start) for level, start in zip(levels, starts, strict=True)])
    return float(levels[np.flatnonzero(darkest <= darkest.min() + near)[0]])


def _darkest_neutral(lattice: SlopedLattice, total: float, start: FloatArray) -> float:
    """Return the L* of the darkest neutral within a total, near inks (c,) to start from; 100 for none."""
    first = float(lattice.values(start[:, None])[0, 0])
    wanted = np.zeros((3, _LEVELS))
    wanted[0] = first + np.linspace(-_BELOW, _ABOVE, _LEVELS)
    task = InkTask(
        wanted=wanted,
        hue=hue_metric(wanted, 1.0),
        aims=np.zeros((len(start), _LEVELS)),
        total=total,
        ceilings=np.ones(len(start)),
    )
    device = np.repeat(start[:, None], _LEVELS, axis=1)
    _, left = nearest_inks(lattice, task, np.zeros(len(start)), device, _STEPS)
    found = wanted[0, left < _REACHED]
    return float(found.min(initial=100.0))
