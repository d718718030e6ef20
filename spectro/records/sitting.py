"""A sitting: what its journal holds line by line, and what a command tells of it at the end. Nothing is computed here.

Times are ISO 8601 in UTC. Rows count the chart's patches from 0. Spectra are reflectance factors.
"""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TypeAlias

import msgspec

SITTING_FORMAT = 1
"""The newest journal format this version reads."""


class Answer(StrEnum):
    """What is done with a reading."""

    FITS = "fits"  # it was taken as it seems right
    KEEP = "keep"  # it seems wrong and was kept on someone's word
    TURN = "turn"  # it was turned round on someone's word
    SWAP = "swap"  # it was taken for the strip it seems to be, on someone's word
    QUESTIONABLE = "questionable"  # it seems wrong, was read again in vain, and was kept for want of a better one
    AGAIN = "read again"  # it was not taken


class Entry(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind", omit_defaults=True, forbid_unknown_fields=True):
    """One line of the journal."""

    time: str


class Begun(Entry, frozen=True, kw_only=True, tag="begun"):
    """The sitting was begun."""

    format: int
    chart_id: str
    chart: str  # name of the chart folder
    patches: int
    mode: str
    condition: str  # M0 to M3
    backing: str = ""
    instrument: str = ""
    serial: str = ""
    invented: bool = False
    printed: str = ""  # date of printing
    anchors: tuple[tuple[int, ...], ...] = ()  # rows of each anchor unit


class Continued(Entry, frozen=True, kw_only=True, tag="continued"):
    """Somebody went on with it: a break lies before this line."""

    source: str
    torn: int = 0  # bytes of a line cut short that were cut off
    paused: bool = False  # not a new start of the program, a pause within it


class WhiteRead(Entry, frozen=True, kw_only=True, tag="white"):
    """White calibration."""

    confirmed: bool  # False: it was due, was asked for, and readings came instead


class PatchesRead(Entry, frozen=True, kw_only=True, tag="patches"):
    """A strip, patch or page that was accepted."""

    words: str  # "strip A"
    rows: tuple[int, ...]
    wavelengths: tuple[float, float, float]  # first, last, step, nm
    reflectance: tuple[tuple[float, ...], ...]
    answer: Answer
    seems: str
    confidence: float = 0.0
    sentence: str = ""
    source_at: int = -1  # bytes of a growing file that were read by then
    source_sha256: str = ""  # of those bytes
    file_sha256: str = ""  # of the watched file they came in
    file_name: str = ""


class Refused(Entry, frozen=True, kw_only=True, tag="refused"):
    """A strip, patch or page that was not accepted, as it was read."""

    words: str
    reflectance: tuple[tuple[float, ...], ...]
    seems: str
    sentence: str


class AnchorsRead(Entry, frozen=True, kw_only=True, tag="anchors"):
    """The anchors, read."""

    rows: tuple[int, ...]
    wavelengths: tuple[float, float, float]
    reflectance: tuple[tuple[float, ...], ...]
    agree: bool
    shift: float  # ΔE00 throughout against the first anchors; 0 for the first
    sentence: str = ""
    source_at: int = -1
    source_sha256: str = ""


class Finished(Entry, frozen=True, kw_only=True, tag="finished"):
    """All patches are read and tied together by anchors."""

    patches: int


SittingEntry: TypeAlias = Begun | Continued | WhiteRead | PatchesRead | Refused | AnchorsRead | Finished


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingResult:
    """What a command tells of a sitting."""

    verdict: str
    folder: Path
    finished: bool
    patches: int
    read: int  # patches with a reading that counts
    missing: tuple[str, ...]  # strips, patches or pages still to be read
    questionable: tuple[str, ...]  # those that were kept although they seem wrong
    anchors: int  # how often the anchors were read
    largest_shift: float  # ΔE00 of the anchors against the first; 0 where they were read once
    parts: int  # between breaks
    invented: bool
    notes: tuple[str, ...]
    readings: Path | None  # the exported file
    journal: Path
