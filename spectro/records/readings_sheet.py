"""What `spectro readings show` tells of readings: words and numbers, nothing computed."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.gate import GateFinding
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendsTold
from spectro.records.readings_result import EvennessNote, ReadingNote


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatNote:
    """One reading of a patch that stands on the sheets more than once."""

    patch: str
    place: str  # "page 1, row 6, column 2"; "" where not known
    delta_e_2000: float  # from the mean of all readings of these device values


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadingsSheet:
    """One file of readings."""

    verdict: str
    file: str
    chart: str
    chart_id: str
    patches: int  # readings
    recipes: int  # different device values
    chart_patches: int
    missing: tuple[str, ...]
    colour_space: str
    condition: str
    backing: str
    instrument: str
    description: str
    created: str
    printed: str
    first_nm: float
    last_nm: float
    step_nm: float
    paper_lab: tuple[float, float, float] | None  # of bare paper; None where it was not read
    black_lab: tuple[float, float, float]  # the darkest
    repeat_noise: float | None
    repeats: int  # readings of patches that were read more than once
    worst_repeats: tuple[RepeatNote, ...]
    evenness: tuple[EvennessNote, ...]
    even: TrendsTold | None  # what changes over the pages, by all patches; None: not asked
    expected_from: str  # "" where nothing was held against them
    notes: tuple[ReadingNote, ...]
    gate: tuple[GateFinding, ...]  # laws of prints that it breaks, and what looks misread
    faulty: bool  # not to be used as it is, and nobody insists
    history: tuple[tuple[str, str], ...]  # what the file says of where it comes from
    measurements: MeasurementSet
    lab: FloatArray  # (n, 3), D50, 2°
    layout: ChartLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingStep:
    """Two readings of the same patches, one after the other."""

    first: str
    second: str
    patches: int
    change: float  # mean ΔE00
    limit: float  # what noise alone gives at most
    dry: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingResult:
    """How patches changed from reading to reading."""

    verdict: str
    noise: float  # mean ΔE00 of one reading
    noise_from: str
    steps: tuple[DryingStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsShown:
    """What was shown."""

    verdict: str
    sheets: tuple[ReadingsSheet, ...]
    unread: tuple[tuple[str, str], ...]  # files of a folder that hold no readings, and why
    picture: str | None
    drying: DryingResult | None
    cautions: tuple[str, ...] = ()

    @property
    def faults(self) -> bool:
        """Whether something looks misread, or the print still changes."""
        return any(sheet.faulty for sheet in self.sheets) or (self.drying is not None and not self.drying.steps[-1].dry)
