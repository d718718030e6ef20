"""Which sheet each file of readings stands for, and what several sheets of one printing condition brought."""

from dataclasses import dataclass
from enum import StrEnum


class SheetRole(StrEnum):
    """What a file of readings is beside those before it."""

    FIRST = "first sheet"
    PART = "another part of the same print"
    REPEAT = "another reading of the same print"
    FURTHER = "a further sheet"
    SAID = "a further sheet, as said"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """A file of readings and the sheet it stands for."""

    file: str
    sheet: int  # from 1
    role: SheetRole
    patches: int
    apart: float | None = None  # of another reading: mean ΔE00 from what the same patches gave before


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsTogether:
    """Sheets of one printing condition, fitted together."""

    count: int
    parts: tuple[SheetPart, ...] = ()  # one a file; () where one file was given
    offsets: tuple[tuple[float, float, float], ...] = ()  # ΔL*, Δa*, Δb* of each sheet from the printer between them
    largest: float = 0.0  # mean ΔE00 of one sheet from another by these, at most
    gain: float = 0.0  # of log likelihood, of a constant a sheet
    drift_gain: float = 0.0  # and of a drift over the pages on top
    drifts: bool = False  # whether such a drift was taken out
    missed: float | None = None  # mean ΔE00 by which the first sheet alone misses the others
    alone: float | None = None  # mean ΔE00 expected in print with the first sheet alone
    another: float | None = None  # and with one more sheet than there are
    alike: float | None = None  # mean ΔE00 by which the sheets differ, where readings of one sheet do so as well


ONE_SHEET = SheetsTogether(count=1)
