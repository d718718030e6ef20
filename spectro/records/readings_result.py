"""What `spectro readings add` found, did and wrote: words and numbers, nothing computed."""

from dataclasses import dataclass

from spectro.records.chart_origin import SourceFile
from spectro.records.gate import GateFinding
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendsTold


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenFile(SourceFile):
    """One file that was taken in."""

    readings: int
    joined: str  # how its readings were joined with the chart


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingNote:
    """Something found of one strip, or of a page as a whole."""

    reading: int  # which reading of the chart, counted from 1
    page: int
    strip: str  # "" for the whole page
    seems: str
    confidence: float  # 0 to 1
    offer: str  # what can be done: turn, swap, read again, print again
    option: str  # the words that accept it, "`turn` C"; "" where there is none
    patches: tuple[str, ...]  # those it concerns, where it is not all
    difference: float  # ΔE00 to what it seems to be
    other: float  # ΔE00 to the next best explanation, or without it
    amount: float | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatOutlierNote:
    """One reading of one patch far from the other readings of it."""

    patch: str
    place: str  # "page 1, row 6, column 2"; "" where not known
    reading: int  # counted from 1
    delta_e_2000: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeNote:
    """What several readings of the same chart gave."""

    readings: int
    patches: int  # read more than once
    mcdm: float | None  # mean ΔE00 from the mean; None where there was nothing to compare
    noise: float | None  # mean ΔE00 of one reading from the mean of many
    systematic: tuple[tuple[int, int, float], ...]  # readings from 1 that differ throughout, and by what ΔE00
    outliers: tuple[RepeatOutlierNote, ...]
    kept: str  # "averaged", "reading 2", "apart", or "" where nothing was decided
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EvennessNote:
    """How a page differs over its area, from repeats on it."""

    page: int
    readings: int
    range_delta_e: float  # ΔE00 between the two places that differ most, of what a smooth surface says
    certain: bool  # more than chance


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsResult:
    """What was read, found, repaired and written."""

    verdict: str
    out: str | None  # the file that was written; None: nothing was
    chart: str
    chart_id: str
    patches: int  # that have a reading
    chart_patches: int
    missing: tuple[str, ...]  # strips without a reading, and single patches
    condition: str  # "M1", or "not stated"
    sources: tuple[TakenFile, ...]
    expected_from: str  # where the expected colours come from
    expected_noise: float  # mean ΔE00 of a right reading from them
    sheet_faults_told: bool  # False: faults of the whole sheet could not be seen
    notes: tuple[ReadingNote, ...]  # what is still open
    from_expected: float  # mean ΔE00 of what is kept from what was expected
    from_expected_p95: float
    gate: tuple[GateFinding, ...]  # laws of prints that they break, and what looks misread
    repairs: tuple[str, ...]  # what was done on request, one sentence each
    merged: MergeNote | None
    repeat_noise: float | None  # mean ΔE00 of one reading, from repeats on the sheets
    evenness: tuple[EvennessNote, ...]
    even: TrendsTold | None  # what changes over the pages, by all patches; None: not asked, for what is open or expected
    cautions: tuple[str, ...]
    resolved: bool  # nothing is open
    measurements: MeasurementSet | None  # what was written, or would have been
