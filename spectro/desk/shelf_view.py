"""The shelf as the desk shows it: conditions by need, the life of one, and files that can be chosen."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Any

from spectro.desk.forms import parsed
from spectro.desk.texts import local, word
from spectro.desk.work_folder import IN, OUT, WorkFolder
from spectro.errors import InputError, ShelfError
from spectro.records.chart_origin import CHART_FILE
from spectro.records.shelf import ConditionState, EntryKind, ShelfEntry
from spectro.words.next_step import of_condition
from spectro.workflow.shelf.list import shelf_list
from spectro.workflow.steps.aims_and_links import newest_by_name
from spectro.workflow.steps.shelf import file_of_entry, stored_condition

_SORTS = {
    "profile": (".icc", ".icm"),
    "readings": (".txt", ".cgats", ".csv", ".xlsx", ".cxf", ".xml"),
    "picture": (".tif", ".tiff", ".png", ".jpg", ".jpeg"),
    "settings": (".toml",),
}
READ = frozenset(suffix for suffixes in _SORTS.values() for suffix in suffixes)
"""Suffixes of files that commands read."""
_READ_ON = 50.0  # L* of a paper that black words can be read on
_MOST = 80  # files offered in one list


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A printing condition on the shelf."""

    name: str
    paper: str
    printer: str
    waits: str  # what waits there, in a word or two; "" for nothing
    past_due: int  # days
    white: str = ""  # its paper's measured colour, as pages write colours; "" where nothing tells it
    black: str = ""
    dark: bool = False  # a paper that dark words cannot be read on

    @property
    def address(self) -> str:
        """Its page."""
        return f"/condition/{self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A file that can be chosen."""

    reference: str
    words: str
    kind: str  # chart, profile, readings, picture, settings, aim, link

    def fits(self, kind: str) -> bool:
        """Tell whether it can be what is asked for; of several kinds, with blanks between, any."""
        return self.kind in kind.split()


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing in the life of a condition."""

    date: str
    words: str
    note: str
    address: str  # of its file; "" for none


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The life of a condition, oldest first."""

    name: str
    title: str
    settings: tuple[tuple[str, str], ...]
    events: tuple[Event, ...]
    due: str
    past_due: int
    newest_profile: str  # reference, "" for none
    newest_readings: str
    waits: str  # what is unfinished or due, "" for nothing
    next_job: str  # the desk's job that does it


def listed(shelf: Path) -> tuple[ConditionState, ...]:
    """Return how the conditions of a shelf stand; none where there is no shelf yet."""
    try:
        return shelf_list(shelf=shelf).conditions
    except ShelfError:
        return ()


def conditions(states: tuple[ConditionState, ...], shelf: Path | None = None) -> tuple[Card, ...]:
    """Return the cards of conditions, those that need something first.

    shelf: where they lie, for cards in the white of their papers; None: plain ones.
    """
    cards = [
        Card(
            **(_paper(shelf, state) if shelf is not None else {}),
            name=state.stored.name,
            paper=state.stored.condition.paper,
            printer=state.stored.condition.printer,
            waits=_waits(state),
            past_due=state.days_past_due,
        )
        for state in states
    ]
    return tuple(sorted(cards, key=lambda card: (-card.past_due, card.waits == "", card.paper)))


def _paper(shelf: Path, state: ConditionState) -> dict[str, Any]:
    """Return the colours of a card."""
    if not any(entry.kind in (EntryKind.PROFILE, EntryKind.READINGS) for entry in state.stored.entries):
        return {}
    from spectro.report.page_parts import css_colour
    from spectro.workflow.shelf.paper_colours import paper_colours

    found = paper_colours(shelf, state.stored)
    if found is None:
        return {}
    white, black = found
    return {"white": css_colour(white), "black": css_colour(black), "dark": bool(white[0] < _READ_ON)}


def _waits(state: ConditionState) -> str:
    """Return what waits there: the sentence of the terminal, else when the next check is due."""
    waits, _ = of_condition(state)
    return waits or (word("next_check", day=state.due) if state.due else "")


def known_files(shelf: tuple[ConditionState, ...], work: WorkFolder) -> tuple[Known, ...]:
    """Return files that can be chosen: what was made or given last, then what lies on the shelf."""
    return (*_of_work(work), *_of_shelf(shelf))


def _of_work(work: WorkFolder) -> Iterator[Known]:
    count = 0
    for one in work.all(100):
        day = local(one.job.asked)
        for part in (OUT, IN):
            charts = {str(PurePosixPath(name).parent) for name in one.files(part) if PurePosixPath(name).name == CHART_FILE} - {
                "."
            }
            for folder in sorted(charts):
                yield Known(
                    reference=f"work:{one.id}/{part}/{folder}", words=word("known_file", name=folder, day=day), kind="chart"
                )
            for name in one.files(part):
                path = PurePosixPath(name)
                inside = any(path.is_relative_to(folder) for folder in charts)
                kind = "" if inside else _kind(path.suffix)
                if kind and not any(part.startswith(".") for part in path.parts):
                    yield Known(
                        reference=f"work:{one.id}/{part}/{name}", words=word("known_file", name=path.name, day=day), kind=kind
                    )
                    count += 1
        if count > _MOST:
            return


def _kind(suffix: str) -> str:
    return next((sort for sort, suffixes in _SORTS.items() if suffix.lower() in suffixes), "")


def _of_shelf(shelf: tuple[ConditionState, ...]) -> Iterator[Known]:
    for state in shelf:
        for entry in reversed(state.stored.entries):
            if entry.kind in (EntryKind.READINGS, EntryKind.PROFILE):
                words = word("known_on_shelf", name=entry.name, day=entry.date[:10], paper=state.stored.condition.paper)
                yield Known(reference=f"shelf:{state.stored.name}/{entry.sha256}", words=words, kind=str(entry.kind))
        for kind in (EntryKind.AIM, EntryKind.LINK):
            for entry in reversed(newest_by_name(state.stored, kind)):
                words = word("note_on_shelf", name=entry.note, paper=state.stored.condition.paper)
                yield Known(reference=f"shelf:{state.stored.name}/{entry.sha256}", words=words, kind=str(kind))


def time_strip(shelf: Path, name: str) -> Strip:
    """Return the life of a condition. Raises ShelfError where there is none of that name."""
    stored = stored_condition(shelf, name)
    state = ConditionState.on_day(stored, datetime.now(UTC).date())
    newest = {
        kind: next((entry.sha256 for entry in reversed(stored.entries) if entry.kind == kind), "")
        for kind in (EntryKind.PROFILE, EntryKind.READINGS)
    }
    waits, command = of_condition(state)
    following = parsed(command)
    return Strip(
        name=stored.name,
        waits=waits,
        next_job=following[0] if following else "",
        title=word("paper_on_printer", paper=stored.condition.paper, printer=stored.condition.printer),
        settings=tuple(
            (label.replace("_", " "), value)
            for label, value in stored.condition.filled.items()
            if label not in ("printer", "paper", "reminder_weeks")
        ),
        events=tuple(_event(stored.name, entry) for entry in stored.entries),
        due=state.due or "",
        past_due=state.days_past_due,
        newest_profile=f"shelf:{stored.name}/{newest[EntryKind.PROFILE]}" if newest[EntryKind.PROFILE] else "",
        newest_readings=f"shelf:{stored.name}/{newest[EntryKind.READINGS]}" if newest[EntryKind.READINGS] else "",
    )


def _event(condition: str, entry: ShelfEntry) -> Event:
    if entry.kind == EntryKind.EVENT:
        words = word("check_every", weeks=entry.weeks) if entry.weeks else str(entry.event)
        return Event(date=entry.date[:10], words=words, note=entry.note, address="")
    role = f" ({entry.role})" if entry.role and entry.role != str(entry.kind) else ""
    return Event(
        date=entry.date[:10],
        words=f"{entry.kind}{role}: {entry.name}",
        note=entry.note,
        address=f"/condition/{condition}/{entry.sha256}",
    )


def _found(shelf: Path, condition: str, sha256: str) -> tuple[str, ShelfEntry]:
    stored = stored_condition(shelf, condition)
    entry = next((entry for entry in stored.entries if sha256 and entry.sha256 == sha256), None)
    if entry is None:
        raise InputError(f"no file {sha256[:12]} under {condition}", "one that the shelf lists", "Go back to it.")
    return stored.name, entry


def entry_path(shelf: Path, condition: str, sha256: str) -> Path:
    """Return the path of a file on the shelf; of an aim or link what commands know it by. Raises InputError or ShelfError."""
    name, entry = _found(shelf, condition, sha256)
    if entry.kind in (EntryKind.AIM, EntryKind.LINK) and entry.note:
        return Path(f"{name}/{entry.note}")
    return file_of_entry(shelf, name, entry)


def entry_file(shelf: Path, condition: str, sha256: str) -> tuple[Path, str]:
    """Return the path of a file on the shelf and the name it had where it came from. Raises InputError or ShelfError."""
    name, entry = _found(shelf, condition, sha256)
    return file_of_entry(shelf, name, entry), entry.name or PurePosixPath(entry.file).name
