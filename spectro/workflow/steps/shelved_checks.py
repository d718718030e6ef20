"""A check of drift for a printing condition on the shelf: what lies there is used, and what is new is kept there."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.readings.load import load_readings
from spectro.records.drift import DriftEvent, DriftResult, DriftState
from spectro.records.shelf import FAILED_CHECK, EntryKind, ShelfEntry
from spectro.records.shown_text import shown_name
from spectro.workflow.steps.shelf import (
    add_event_in_words,
    add_to_shelf,
    date_of_readings,
    entries_by_date,
    file_of_entry,
    stored_condition,
)

CONTROL = "control"
"""Role of control readings on the shelf."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedChecks:
    """What the shelf holds for a check. `folder` has copies of earlier control readings under their own names."""

    reference: Path
    new: tuple[Path, ...]  # earlier ones too; the newest is judged
    events: tuple[DriftEvent, ...]
    profile: Path | None
    reminder_weeks: int  # 0: none


def shelved_checks(shelf: Path | None, condition: str, files: Sequence[Path], folder: Path) -> ShelvedChecks:
    """Return what a check of a condition is made from.

    files: new control readings; the first of them is the reference where the shelf has none yet. folder: an empty one, for
    copies of what is on the shelf. The oldest control reading there is the reference. Raises ShelfError, InputError.
    """
    stored = stored_condition(shelf, condition)
    given = {hashlib.sha256(read_bytes(path)).hexdigest() for path in files}
    earlier = []
    for number, entry in enumerate(entries_by_date(shelf, condition, EntryKind.READINGS, role=CONTROL)):
        if entry.sha256 in given:
            continue
        place = folder / str(number)
        place.mkdir()
        copy = place / Path(entry.name).name
        copy.write_bytes(file_of_entry(shelf, condition, entry).read_bytes())
        earlier.append(copy)
    every = [*earlier, *files]
    if len(every) < 2:
        raise InputError(
            f"one control reading, and none on the shelf under {stored.name}",
            "the reference print's readings too, once",
            "Give both: spectro drift REFERENCE NEW --on-shelf NAME.",
        )
    profiles = entries_by_date(shelf, condition, EntryKind.PROFILE)
    events = entries_by_date(shelf, condition, EntryKind.EVENT)
    return ShelvedChecks(
        reference=every[0],
        new=tuple(every[1:]),
        events=tuple(DriftEvent(date=_moment(entry), words=_words(entry)) for entry in events),
        profile=file_of_entry(shelf, condition, profiles[-1]) if profiles else None,
        reminder_weeks=stored.condition.reminder_weeks,
    )


def is_first_check(shelf: Path | None, condition: str, files: Sequence[Path]) -> bool:
    """Whether these are the first readings of a control print: one file, and none on the shelf beside it."""
    if len(files) != 1:
        return False
    own = hashlib.sha256(read_bytes(files[0])).hexdigest()
    return all(entry.sha256 == own for entry in entries_by_date(shelf, condition, EntryKind.READINGS, role=CONTROL))


def keep_first_check(shelf: Path | None, condition: str, file: Path) -> tuple[ShelfEntry, ...]:
    """Put the readings of the reference print on the shelf. Raises errors of `spectro.errors`."""
    load_readings([file])  # what cannot be read is no reference
    return (add_to_shelf(shelf, condition, EntryKind.READINGS, file, date=date_of_readings(file), role=CONTROL),)


def keep_check(
    shelf: Path | None,
    condition: str,
    result: DriftResult,
    files: Sequence[Path],
    events: Sequence[DriftEvent],
    report: Path | None,
) -> tuple[ShelfEntry, ...]:
    """Put new control readings, events and the report on the shelf. Raises ShelfError.

    shelf: None: the usual place. condition: its name. files: of the new readings, each kept under its own date; a check that
    failed says so. report: the page that was written, None for none. Returns their entries.
    """
    newest, failed = result.points[-1].origin, result.state is DriftState.DRIFT
    kept = [
        add_to_shelf(
            shelf, condition, EntryKind.READINGS, path, date=date_of_readings(path), role=CONTROL,
            note=FAILED_CHECK + result.verdict if failed and shown_name(path) == newest else "",
        )
        for path in files
    ]  # fmt: skip
    for event in events:
        kept.append(add_event_in_words(shelf, condition, event.words, date=event.date))
    if report is not None:
        sources = [entry.sha256 for entry in kept if entry.kind == EntryKind.READINGS]
        date = result.points[-1].date
        kept.append(
            add_to_shelf(
                shelf, condition, EntryKind.REPORT, report, date=date, role=CONTROL, sources=sources, note=result.verdict
            )
        )
    return tuple(kept)


def _moment(entry: ShelfEntry) -> datetime:
    return datetime.fromisoformat(entry.date)


def _words(entry: ShelfEntry) -> str:
    return entry.note or str(entry.event)
