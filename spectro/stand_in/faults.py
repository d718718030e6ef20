"""What goes wrong with printers and sheets over time, on the stand-in: lost nozzles, a wet print, another paper batch.

A shift of the whole printer and a head clean are other strengths and tone value increases of the inks. Constants invented.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.inks import scaled_ink
from spectro.stand_in.paper import Paper
from spectro.stand_in.printer import Printer, printed_reflectance


def shifted_printer(printer: Printer, strengths: Sequence[float], increases: Sequence[float] | None = None) -> Printer:
    """Return the printer with each ink's density times 1 + strengths and its tone value increase plus increases.

    strengths, increases: one an ink, in the order of photo_inks. Raises InputError for a strength of −1 or less.
    """
    if min(strengths) <= -1.0:
        raise InputError(f"strength {min(strengths):g}", "more than -1", "No ink at all is less than none.")
    none = [0.0] * len(printer.inks)
    return replace(
        printer,
        inks=tuple(scaled_ink(ink, 1.0 + change) for ink, change in zip(printer.inks, strengths, strict=True)),
        increase=tuple(
            value + change for value, change in zip(printer.increase, increases if increases is not None else none, strict=True)
        ),
    )


def lost_nozzles(printer: Printer, ink: str, share: float) -> Printer:
    """Return the printer with a share (0 to 1) of one ink's nozzles blocked: that much less of it comes down everywhere.

    ink: its name, "light cyan" for instance. Raises InputError where there is no such ink.
    """
    names = [one.name for one in printer.inks]
    if ink not in names or not 0.0 <= share < 1.0:
        raise InputError(f"{share:g} of {ink!r}", "a share from 0 to 1 of one of " + ", ".join(names), "Choose another.")
    return shifted_printer(printer, [-share if name == ink else 0.0 for name in names])


@dataclass(frozen=True, slots=True, kw_only=True)
class Wetness:
    """How a print that is read too early differs from a dry one."""

    density: float = 0.05  # relative, more density at first
    load: float = 0.6  # share of that which depends on how much ink lies there
    surface: float = 0.15  # share of the surface's reflection that a wet film takes away
    drying: float = 0.4  # share of the sheet's reading after which 63 % of it is gone

    def __post_init__(self) -> None:
        """Refuse what no print shows."""
        if not (0.0 <= self.density < 0.5 and 0.0 <= self.load <= 1.0 and 0.0 <= self.surface < 1.0 and self.drying > 0.0):
            raise InputError(f"{self}", "density below 0.5, shares from 0 to 1, drying above 0", "Choose others.")


def wet_reflectance(
    device: ArrayLike, *, printer: Printer, paper: Paper, condition: MeasurementCondition, wetness: Wetness | None = None
) -> FloatArray:
    """Return what a perfect instrument reads of a print that dries while it is read: (n, 36).

    device: (n, 3), red, green and blue, 0 to 1, in reading order. Bare paper is dry.
    """
    wet = wetness or Wetness()
    values = np.asarray(device, dtype=np.float64)
    dry = printed_reflectance(values, printer=printer, paper=paper, condition=condition)
    left = np.exp(-np.arange(len(values)) / max(len(values) - 1, 1) / wet.drying)[:, None]
    depth = np.log10(paper.base.mean() / np.maximum(dry.mean(axis=1, keepdims=True), 1e-4))
    load = np.clip(depth / max(float(depth.max()), 1e-9), 0.0, 1.0)
    more = wet.density * (1.0 - wet.load + wet.load * load) * left
    inked = np.clip(4.0 * load, 0.0, 1.0)
    inner = np.maximum(dry - paper.surface, 1e-5)
    bare = paper.base - paper.surface + paper.emission
    return np.asarray(bare * (inner / bare) ** (1.0 + more) + paper.surface * (1.0 - wet.surface * left * inked))


def other_batch(paper: Paper, *, brightener: float, blue: float, level: float) -> Paper:
    """Return another batch of the paper; how it takes ink stays.

    brightener: relative change of the emission. blue, level: relative change of the base's reflection in the blue, over all.
    """
    wavelengths = np.linspace(0.0, 1.0, len(paper.base))
    base = paper.base * (1.0 + level + blue * np.exp(-0.5 * ((wavelengths - 0.2) / 0.2) ** 2))
    return replace(paper, base=base, emission=paper.emission * (1.0 + brightener))
