"""Records of aims: what prints are to look like for others to accept them, and how near they came."""

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.gate import GateFinding
from spectro.records.limits import Limit
from spectro.records.statistics import DifferenceStatistics


class PrintKind(enum.StrEnum):
    """What a print is judged as; each has limits of its own."""

    CONTRACT_PROOF = "contract-proof"
    VALIDATION_PRINT = "validation-print"
    PRESS_RUN = "press-run"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Aim:
    """A data set of colours to be reached, one row a recipe, with what holds for them."""

    name: str
    colour_space: str  # of the device values, "CMYK", "RGB" …
    device: FloatArray  # (n, channels), 0 to 1
    lab: FloatArray  # (n, 3), absolute, D50, 2°
    condition: MeasurementCondition | None  # None: not stated
    backing: Backing | None  # None: not stated
    standard: str = ""  # standard and edition that the limits are taken from
    kind: PrintKind | None = None  # None: whoever asks says it
    limits: Mapping[str, Limit] = field(default_factory=dict)  # its own, by measure
    origin: str = ""  # names of its files

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "device", "lab")


@dataclass(frozen=True, slots=True, kw_only=True)
class AimMeasure:
    """One figure that a limit may stand for."""

    name: str  # "mean", "paper", "solids" …
    value: float | None  # None: the readings hold no patches for it
    unit: str
    patches: int
    worst: str = ""  # the patch or ink that it is largest at
    limit: Limit | None = None  # None: told, not judged

    @property
    def passed(self) -> bool | None:
        """Whether the limit is kept; None where there is none, or nothing to judge."""
        return None if self.limit is None or self.value is None else self.value <= self.limit.value


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneStep:
    """The tone value of one tint in print, against the aim's."""

    ink: str
    sent: float  # %
    printed: float  # %
    aimed: float  # %


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstPatch:
    """One of the patches that differ most."""

    name: str
    device: tuple[float, ...]
    aimed: tuple[float, float, float]
    printed: tuple[float, float, float]
    difference: float  # ΔE00


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChange:
    """The print's paper against the aim's, and whether the aim was carried over to it."""

    aimed: tuple[float, float, float]  # Lab
    printed: tuple[float, float, float]
    difference: float  # ΔE00
    corrected: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOfRun:
    """One sheet of a press run: largest difference of its solids from those of the run's mean, and of the OK sheet."""

    name: str
    from_mean: float  # ΔE00, mean of all patches
    solids_from_mean: float | None  # ΔE00, largest
    solids_from_ok: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AimCheck:
    """Readings against an aim."""

    aim: str
    standard: str
    kind: PrintKind
    readings: str
    aim_condition: MeasurementCondition | None
    aim_backing: Backing | None
    condition: MeasurementCondition | None
    backing: Backing | None
    instrument: str
    date: str  # of the readings, "" where it is not stated
    differences: DifferenceStatistics
    measures: tuple[AimMeasure, ...]
    tones: tuple[ToneStep, ...]
    worst: tuple[WorstPatch, ...]
    paper: PaperChange | None
    not_in_aim: int  # readings of recipes that the aim lacks
    cautions: tuple[str, ...]  # codes of what to keep in mind, for words
    sheets: tuple[SheetOfRun, ...] = ()
    against: str = "aim"  # "ok-sheet": what solids were compared with
    insisted: str = ""  # why readings count that were taken otherwise than the aim
    gate: tuple[GateFinding, ...] = ()
    kept_as: str = ""  # what the shelf has the aim by, and since when; "": it was a file

    @property
    def failed(self) -> tuple[AimMeasure, ...]:
        """Measures above their limit."""
        return tuple(one for one in self.measures if one.passed is False)

    @property
    def untested(self) -> tuple[AimMeasure, ...]:
        """Measures with a limit that the readings have no patches for."""
        return tuple(one for one in self.measures if one.limit is not None and one.value is None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachedColour:
    """A colour that is wanted, and the nearest that a printing condition prints."""

    name: str
    wanted: tuple[float, float, float]  # Lab
    recipe: tuple[float, ...]  # device values, 0 to 1
    reached: tuple[float, float, float]
    difference: float  # ΔE00


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Colours that are wanted of a printing condition, those that are missed by most first."""

    colours_of: str  # names of their files
    printed: str  # what they are to be printed with: names of files of readings
    colour_space: str
    channels: tuple[str, ...]
    total_area: float | None  # percent; None: no limit
    limit: float  # ΔE00 up to which a colour counts as reached
    colours: tuple[ReachedColour, ...]
    in_print: float  # mean ΔE00 that prints are expected to be off by, beside it
