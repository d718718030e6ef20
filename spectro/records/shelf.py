"""What lies on a shelf, and what was found of it."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from spectro.records.printing_condition import PrintingCondition


class EntryKind(StrEnum):
    """What an entry of the shelf is."""

    READINGS = "readings"
    PROFILE = "profile"
    REPORT = "report"
    CHART = "chart"  # the layout of a chart that was made for it
    PICTURE = "picture"  # a picture of a dialog with its settings
    AIM = "aim"  # colours that prints are compared with, or a file of limits with its data; its note is the aim's name
    LINK = "link"  # a device link; its note is its name
    EDITION = "edition"  # what a picture was printed with; its note is the edition's title
    EVENT = "event"  # something that happened to the printer; it has no file


class EventKind(StrEnum):
    """What happened to a printer, as far as its prints may show it."""

    HEAD_CLEAN = "head clean"
    INK = "ink"
    PAPER_BATCH = "paper batch"
    DRIVER = "driver"
    FIRMWARE = "firmware"
    REMINDER = "reminder"  # from then on a check is due every so many weeks
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfEntry:
    """One thing that was put on the shelf. Never changed afterwards."""

    condition: str  # id of the printing condition, SHA-256
    kind: EntryKind
    date: str  # of the thing itself: when it was read, made, or happened; ISO 8601 in UTC
    added: str  # when it was put on the shelf
    name: str = ""  # the file's name where it came from, without a folder
    sha256: str = ""  # of the file; "" for an event
    size: int = 0  # bytes
    suffix: str = ""  # ".txt", ".icc", ".html"
    role: str = ""  # what it is for: "chart", "drift", "assessment"; free words
    sources: tuple[str, ...] = ()  # SHA-256 of the files it was made from
    event: EventKind | None = None
    weeks: int | None = None  # of a reminder
    note: str = ""

    @property
    def file(self) -> str:
        """The file's place in the folder of its condition, "" for an event."""
        return f"files/{self.sha256}{self.suffix}" if self.sha256 else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredCondition:
    """A printing condition with everything that hangs on it."""

    name: str  # of its folder: what people call it by
    condition: PrintingCondition  # with the reminder that holds now
    entries: tuple[ShelfEntry, ...]  # oldest first
    damaged: tuple[str, ...] = ()  # names of entries that cannot be read


FAILED_CHECK = "over limit: "
"""How the note of a control print begins whose check found a fault."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionState:
    """How a condition stands today."""

    stored: StoredCondition
    last_readings: str | None  # date
    last_profile: str | None
    days_since_readings: int | None
    days_since_profile: int | None
    due: str | None  # the day on which it should be read again; None: no reminder, or nothing read yet
    days_past_due: int  # 0: not past due
    failed: bool = False  # the newest check of a control print found a fault: it is due until a good one

    @classmethod
    def on_day(cls, stored: StoredCondition, today: date) -> "ConditionState":
        """Return how a condition stands on a day: when it was last read and profiled, and what is due."""
        readings = [entry.date for entry in stored.entries if entry.kind == EntryKind.READINGS]
        profiles = [entry.date for entry in stored.entries if entry.kind == EntryKind.PROFILE]
        last, profile = max(readings, default=None), max(profiles, default=None)
        due = None
        if last is not None and stored.condition.reminder_weeks:
            due = date.fromisoformat(last[:10]) + timedelta(weeks=stored.condition.reminder_weeks)
        checks = [entry for entry in stored.entries if entry.kind == EntryKind.READINGS and entry.role == "control"]
        newest = max(checks, key=lambda entry: entry.date, default=None)
        if newest is not None and newest.note.startswith(FAILED_CHECK):
            due = date.fromisoformat(newest.date[:10])  # it stays due until a good one
        return cls(
            stored=stored,
            last_readings=last,
            last_profile=profile,
            days_since_readings=_days(last, today),
            days_since_profile=_days(profile, today),
            due=None if due is None else due.isoformat(),
            days_past_due=0 if due is None else max(0, (today - due).days),
            failed=newest is not None and newest.note.startswith(FAILED_CHECK),
        )


def _days(moment: str | None, today: date) -> int | None:
    return None if moment is None else (today - date.fromisoformat(moment[:10])).days


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfListing:
    """The conditions of a shelf."""

    verdict: str
    shelf: str
    conditions: tuple[ConditionState, ...]
    damaged: tuple[str, ...] = ()  # names of conditions that cannot be read


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfFinding:
    """Something that is not as it should be, or that is worth a word."""

    severity: str  # "fault" or "note"
    what: str  # "damaged", "missing", "unknown"; of notes: "unfinished", "index"
    place: str  # path within the shelf
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfCheck:
    """What re-hashing a shelf found."""

    verdict: str
    shelf: str
    conditions: int
    entries: int
    files: int
    bytes: int
    findings: tuple[ShelfFinding, ...]
    rebuilt: bool = False

    @property
    def faulty(self) -> bool:
        """Whether anything is damaged, missing or unknown."""
        return any(finding.severity == "fault" for finding in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackResult:
    """One file with what belongs to a condition."""

    verdict: str
    file: str
    contents: tuple[tuple[str, str], ...]  # name in the pack, SHA-256
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetProfile:
    """What the sheet of settings says of the profile."""

    name: str  # as programs list it
    file: str
    date: str  # day
    icc_version: str
    light: str  # what the prints are made for: "D50, 2° observer"


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingsSheet:
    """The one page "print with these settings"."""

    title: str
    subject: str  # paper and printer
    sections: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]  # heading; label and words
    steps: tuple[str, ...]
    footer: tuple[str, ...]
