"""Drift: what control readings say of a printer over time. The records that verdicts, reports and JSON are made from."""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import FloatArray, IntArray, keep_floats
from spectro.records.gate import GateFinding
from spectro.records.limits import Limits
from spectro.records.statistics import DifferenceStatistics


class DriftState(StrEnum):
    """What one check comes to."""

    FINE = "fine"  # no more than noise and sheets do
    MOVED = "moved, too little to matter"  # more than that, less than is worth acting on
    INSTRUMENTS = "within two instruments"  # no more than two instruments differ by
    SMALL = "small change"  # more than two instruments differ by, less than is worth acting on: read again
    DRIFT = "drift"


class DriftCause(StrEnum):
    """What may have moved."""

    NONE = "nothing"
    PRINTER = "whole printer"
    NOZZLES = "partial nozzle loss"
    SETTING = "driver or media setting"
    WET = "wet print"
    PAPER = "paper batch"
    INSTRUMENT = "instrument"


class DriftAdvice(StrEnum):
    """What to do next."""

    FINE = "fine"
    READ_AGAIN = "read again"
    CLEAN = "clean and align"
    CHECK_SETTINGS = "check the settings"
    LINEARISE = "linearise"
    REFRESH = "refresh the profile"
    PROFILE_ANEW = "profile anew"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlReading:
    """One reading of a control print, or of any print that is read again and again. Rows are patches, in reading order."""

    lab: FloatArray  # (n, 3), absolute, D50, 2° observer
    device: FloatArray  # (n, channels), 0 to 1; (n, 0) where not known
    colour_space: str | None  # "RGB", "CMYK" …; None: device values not known
    date: datetime | None
    origin: str
    positions: IntArray = field(default_factory=lambda: np.zeros((0, 3), dtype=np.int64))  # (n, 3) page, row, column, or (0, 3)

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        keep_floats(self, "lab", "device")
        if len(self.positions) not in (0, len(self.lab)):
            raise ShapeError(f"{len(self.positions)} places of {len(self.lab)} patches; expected one each, or none")
        if self.lab.ndim != 2 or self.lab.shape[1] != 3 or len(self.device) != len(self.lab):
            raise ShapeError(f"lab {self.lab.shape}, device {self.device.shape}; expected (n, 3) and (n, channels)")

    def __len__(self) -> int:
        """Return the number of patches."""
        return len(self.lab)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftSettings:
    """What is taken for noise, and from where on a change counts. Sizes are ΔE00. Made by `checks.drift_advice`."""

    noise: float  # mean of one reading from the mean of its repeats
    sheet: float  # mean of one sheet from the mean of many, noise taken out
    instrument_agreement: float | None  # mean two instruments differ by; None: one instrument read all
    warn: float  # mean from which a change is worth acting on
    act: float  # mean from which a profile does not stand for the printer any more
    limits: Limits  # of drift, everything else that decides

    def __post_init__(self) -> None:
        """Refuse sizes that say nothing."""
        for name in ("noise", "sheet", "warn", "act"):
            value = getattr(self, name)
            if not (np.isfinite(value) and 0.01 <= value <= 10):
                raise InputError(f"{name} {value:g}", "ΔE00 of 0.01 to 10", f"Choose another `{name}`.")
        agreement = self.instrument_agreement
        if agreement is not None and not (np.isfinite(agreement) and 0.01 <= agreement <= 10):
            raise InputError(
                f"instrument agreement {agreement:g}", "ΔE00 of 0.01 to 10", "Choose another `instrument_agreement`."
            )
        if self.act <= self.warn:
            raise InputError(f"act {self.act:g}", f"more than warn, {self.warn:g}", "Choose another `act` or `warn`.")


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftEvent:
    """Something done to printer, paper or computer on a day: a head clean, new ink, a new driver."""

    date: datetime
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """One check on the control chart."""

    date: datetime | None
    origin: str
    difference: DifferenceStatistics  # ΔE00 from the reference
    centre: float  # of the limits it was judged by
    upper: float
    beyond: bool
    events: tuple[str, ...] = ()  # dated between the check before and this one


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftTrend:
    """A straight line through the checks."""

    per_week: float  # ΔE00
    error: float  # its standard error
    certain: bool
    weeks_to_limit: float | None  # from the newest check; None: not rising for certain, or beyond already


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionChange:
    """How a group of patches changed, means."""

    name: str
    patches: int
    lightness: float  # ΔL*
    a: float
    b: float
    delta_e_2000: float
    words: str  # "darker, bluer", or "no change to speak of"


@dataclass(frozen=True, slots=True, kw_only=True)
class InkChange:
    """How much more or less of an ink seems to be on the paper."""

    name: str
    percent: float  # of its density
    error: float  # standard error, percent
    certain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseFinding:
    """One explanation of a change."""

    cause: DriftCause
    detail: str  # which ink, or empty
    share: float  # weight among those thought of, 0 to 1; said in words
    explains: float  # share of the squared change it accounts for, 0 to 1
    named: bool = False  # it is one of the causes, two at most, that a reader is given
    fades: bool = False  # it changes along the reading
    mean: float = 0.0  # ΔE00 by which it alone moved what was read, without inks that are stronger besides
    p95: float = 0.0
    most_mean: float = 0.0  # the same, of the largest of its ways that is nearly as likely as the likeliest
    most_p95: float = 0.0
    whole: bool = True  # in its likeliest way nothing else moved with it, such as inks that are stronger after a head clean


@dataclass(frozen=True, slots=True, kw_only=True)
class TileFinding:
    """What readings of a tile, or of anchors kept in the dark, say of the instrument."""

    delta_e_2000: float  # mean change since the reference
    limit: float  # what noise, or two instruments, would give at most
    moved: bool
    left: float | None  # mean ΔE00 of the newest check with the tile's change taken out; None: the tile did not move


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DriftResult:
    """A printer held against its reference print."""

    verdict: str
    state: DriftState
    advice: DriftAdvice
    advice_words: str
    causes: tuple[CauseFinding, ...]  # most likely first; empty where nothing changed
    settings: DriftSettings
    reference: str
    reference_date: datetime | None
    patches: int
    light: str
    measurement_condition: str
    points: tuple[ChartPoint, ...]  # oldest first; the last one is the check that is judged
    centre: float  # limits drawn from all checks that were within theirs
    upper: float
    limits_from: str
    trend: DriftTrend | None  # None: fewer than five dated checks
    regions: tuple[RegionChange, ...]
    inks: tuple[InkChange, ...]
    tile: TileFinding | None
    profile: str | None
    profile_difference: DifferenceStatistics | None  # newest check against the profile
    profile_before: DifferenceStatistics | None  # reference against the profile
    events: tuple[DriftEvent, ...]
    next_check: datetime | None  # None: no date, or no reminder
    overdue: bool = False  # the next check was due before the day of asking
    cautions: tuple[str, ...] = field(default=())
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings
    reference_lab: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))  # (n, 3)
    newest_lab: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))  # (n, 3)

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "reference_lab", "newest_lab")
