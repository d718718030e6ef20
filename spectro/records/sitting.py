"""A sitting: its events, which are the lines of its journal, what it asks for, and what a command tells of it at the end.

Times are ISO 8601 in UTC. Rows count the chart's patches from 0. Spectra are reflectance factors. Nothing is computed here.
"""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TypeAlias

import msgspec

from spectro.records.gate import GateFinding

JOURNAL_FILE = "journal.jsonl"
"""What a folder holds that is a sitting."""
SITTING_FORMAT = 1
"""The newest journal format this version reads. Kinds of events that were added later leave it as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """What is read at one go."""

    words: str  # "strip A", "patch A1", "page 1"
    name: str  # "A", "A1", "page 1"
    rows: tuple[int, ...]  # of the chart, in the order of reading
    page: int = 1  # on which it lies


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingLayout:
    """A chart as a sitting reads it."""

    units: tuple[Unit, ...]
    anchors: tuple[Unit, ...]

    @property
    def anchor_rows(self) -> tuple[int, ...]:
        """Rows of all anchors in the order of reading."""
        return tuple(row for unit in self.anchors for row in unit.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingRules:
    """What a person settles beforehand."""

    answer: "Answer | None" = None  # what is done with all that seems wrong; None: it is asked
    anchor_limit: float | None = None  # ΔE00 throughout; None: that of checks/anchor_agreement.py


class Answer(StrEnum):
    """What is done with a reading."""

    FITS = "fits"  # it was taken as it seems right
    KEEP = "keep"  # it seems wrong and was kept on someone's word
    TURN = "turn"  # it was turned round on someone's word
    SWAP = "swap"  # it was taken for the strip it seems to be, on someone's word
    QUESTIONABLE = "questionable"  # it seems wrong, was read again in vain, and was kept for want of a better one
    AGAIN = "read again"  # it was not taken
    NEW_ANCHORS = "new anchors"  # it is what all later anchors are compared with
    INSIST = "insist"  # a person says that the source's statement is wrong
    UNDO = "undo"  # what was read last does not count
    PAUSE = "pause"
    GO_ON = "go on"  # what the program does by itself


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
    left: bool = False  # read so often in vain that it is left for later
    late: bool = False  # what counts is asked for again, since it looks wrong beside all others


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
    renewed: bool = False  # later anchors are compared with these instead of the first
    kept: bool = False  # they seemed wrong, and a person kept them


class AnchorPart(Entry, frozen=True, kw_only=True, tag="anchor"):
    """One of several strips or patches that are the anchors together."""

    words: str
    rows: tuple[int, ...]
    wavelengths: tuple[float, float, float]
    reflectance: tuple[tuple[float, ...], ...]


class Stated(Entry, frozen=True, kw_only=True, tag="stated"):
    """The source says what it is and how it measures; or a person says so in its place. "": not said."""

    condition: str = ""
    serial: str = ""
    backing: str = ""
    scale: str = ""  # of the numbers that it sends: "factor" or "percent"
    insisted: bool = False  # a person says that readings are as the sitting was begun; of a scale, that it holds from here on


class Named(Entry, frozen=True, kw_only=True, tag="named"):
    """Somebody goes on with a page, strip or patch of their choice."""

    name: str


class Undone(Entry, frozen=True, kw_only=True, tag="undone"):
    """A reading that was accepted no longer counts; what it replaced counts again."""

    words: str = ""  # of the unit; "": the newest reading of all


class AnchorsWanted(Entry, frozen=True, kw_only=True, tag="new anchors"):
    """The next anchors are the ones that all later ones are compared with."""


class Finished(Entry, frozen=True, kw_only=True, tag="finished"):
    """All patches are read and tied together by anchors."""

    patches: int


class Offered(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True):
    """One of the things that can be done with a held reading."""

    answer: Answer
    result: str = ""  # what comes of it, in words: "keep it as strip F"; "": `words/sitting.py` knows
    event: PatchesRead | Refused | AnchorsRead | AnchorPart | Stated | Undone | AnchorsWanted | Continued | Finished
    """What it stands for; its time is that of the choice."""


class Held(Entry, frozen=True, kw_only=True, tag="held"):
    """A reading that seems wrong and waits for somebody's answer."""

    words: str  # of what was asked for
    rows: tuple[int, ...]
    seems: str
    confidence: float
    sentence: str
    offers: tuple[Offered, ...]  # the most likely one first
    elsewhere: str = ""  # words of the unit it seems to be, where that is another
    anchors: bool = False  # it was read as anchors
    late: bool = False  # it was accepted and looks wrong beside all others


SittingEvent: TypeAlias = (
    Begun
    | Continued
    | WhiteRead
    | PatchesRead
    | Refused
    | AnchorsRead
    | AnchorPart
    | Stated
    | Named
    | Undone
    | AnchorsWanted
    | Held
    | Finished
)


class Asks(StrEnum):
    """What a sitting waits for."""

    ANSWER = "answer"  # one of the offers
    WHITE = "white"
    ANCHORS = "anchors"
    READ = "read"
    BREAK = "break"  # nothing was read for so long that it counts as a break: the one offer is taken by the program
    LOOK_BACK = "look back"  # all is read: the program judges the whole, then calls it looked at
    FINISH = "finish"  # the one offer is taken by the program
    STOP = "stop"  # it cannot go on by itself; the offers are what a person can do
    NOTHING = "nothing"  # it is finished


class Reason(StrEnum):
    """Why something is asked for."""

    NONE = ""
    START = "start"
    AFTER_BREAK = "after a break"
    MANY_READINGS = "many readings"
    LONG_AGO = "long ago"
    DISAGREE = "anchors disagree"  # anchors do not agree with the first ones
    BEFORE_WHITE = "before white"  # a calibration would hide whether the instrument moved
    CLOSING = "closing"
    CONTRADICTION = "contradiction"  # the source states something else than the sitting was begun with
    LEFT = "left"  # units that were read in vain


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """What a sitting asks for next. `words/sitting.py` has the sentences."""

    asks: Asks
    reason: Reason = Reason.NONE
    amount: float = 0.0  # minutes or readings, where the reason counts them
    unit: Unit | None = None  # what to read
    attempt: int = 0  # how often it was read before
    held: Held | None = None  # the reading in question
    offers: tuple[Offered, ...] = ()
    contradiction: tuple[tuple[str, str, str], ...] = ()  # word, what is stated now, what the sitting was begun with


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
    gate: tuple[GateFinding, ...] = ()  # what is found of what was read, once all of it is
    faulty: bool = False  # not to be used as they are, and nobody insists
    journal: Path
