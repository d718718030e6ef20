"""`spectro shelf new`: a printing condition put on the shelf, which is made where there is none."""

import dataclasses
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from spectro.errors import InputError
from spectro.files.condition_text import parse_condition
from spectro.files.shelf_entries import add_entry, iso_second, read_stored
from spectro.files.shelf_folder import (
    add_condition,
    find_condition,
    make_shelf,
    open_shelf,
    place_of_shelf,
)
from spectro.files.shelf_write import shelf_lock
from spectro.files.text_lines import read_bytes
from spectro.records.printing_condition import PrintingCondition
from spectro.records.shelf import (
    EntryKind,
    EventKind,
    ShelfEntry,
    StoredCondition,
)
from spectro.workflow.steps.shelf import bring_index_up

_LARGEST_CONDITION = 1 << 20  # bytes


def shelf_new(
    fields: Mapping[str, str | int],
    *,
    shelf: Path | None = None,
    like: str | None = None,
    now: datetime | None = None,
) -> tuple[StoredCondition, bool]:
    """Put a printing condition on the shelf, which is made where there is none.

    fields: names of `PrintingCondition` to what they say; "" takes away what `like` says.
    like: the name of a condition on the shelf, or a condition file (.toml), whose fields are taken where fields say
    nothing. A condition that is there already is not made again; only its reminder may change.
    Returns the condition and whether it is new. Raises ShelfError, InputError, RecipeError.
    """
    folder = place_of_shelf(shelf)
    if like is None:
        condition = _condition(fields, None)
    elif like.lower().endswith(".toml"):
        path = Path(like)
        if not path.is_file():
            raise InputError(f"no file {like}", "a condition file, as packs hold one", "Check the name and the folder.")
        condition = _condition(fields, parse_condition(read_bytes(path, max_bytes=_LARGEST_CONDITION), path))
    else:
        open_shelf(folder)
        condition = _condition(fields, read_stored(folder, find_condition(folder, like)).condition)
    make_shelf(folder)
    with shelf_lock(folder):
        name, new = add_condition(folder, condition)
        if new or "reminder_weeks" in fields:
            _set_reminder(folder, name, condition, now or datetime.now(UTC))
        bring_index_up(folder)
    return read_stored(folder, name), new


def _set_reminder(folder: Path, name: str, condition: PrintingCondition, now: datetime) -> None:
    """Write down the reminder of a condition where another holds; the newest holds, whatever the clock says."""
    stored = read_stored(folder, name)
    if stored.condition.reminder_weeks == condition.reminder_weeks:
        return
    moment = iso_second(now)
    earlier = max((entry.added for entry in stored.entries if entry.event == EventKind.REMINDER), default="")
    if earlier >= moment:
        moment = iso_second(datetime.fromisoformat(earlier) + timedelta(seconds=1))
    reminder = ShelfEntry(
        condition=condition.id,
        kind=EntryKind.EVENT,
        date=moment,
        added=moment,
        event=EventKind.REMINDER,
        weeks=condition.reminder_weeks,
    )
    add_entry(folder, name, reminder, None)


def _condition(fields: Mapping[str, str | int], like: PrintingCondition | None) -> PrintingCondition:
    if like is not None:
        return dataclasses.replace(like, **dict(fields))  # type: ignore[arg-type]
    for name in ("printer", "paper"):
        if not fields.get(name):
            raise InputError(f"no {name}", "the name of printer and paper at least", f"Add `{name}`, or copy with `like`.")
    return PrintingCondition(**dict(fields))  # type: ignore[arg-type]
