"""`spectro shelf new`, `list` and `verify`: conditions made, looked at, and everything on the shelf hashed again."""

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from spectro.errors import InputError, ShelfError
from spectro.files.condition_text import parse_condition
from spectro.files.shelf_check import check_shelf
from spectro.files.shelf_entries import add_entry, iso_second, read_stored
from spectro.files.shelf_folder import (
    add_condition,
    condition_names,
    find_condition,
    make_shelf,
    open_shelf,
    place_of_shelf,
)
from spectro.files.shelf_index import write_index
from spectro.files.shelf_write import cannot_write, shelf_lock
from spectro.files.text_lines import read_bytes
from spectro.records.printing_condition import PrintingCondition
from spectro.records.shelf import (
    ConditionState,
    EntryKind,
    EventKind,
    ShelfCheck,
    ShelfEntry,
    ShelfListing,
    StoredCondition,
)
from spectro.workflow.shelf_keeping import bring_index_up

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
            raise InputError(f"no {name}", "the name of printer and paper at least", f"Add --{name}, or copy with --like.")
    return PrintingCondition(**dict(fields))  # type: ignore[arg-type]


def shelf_list(name: str | None = None, *, shelf: Path | None = None, today: date | None = None) -> ShelfListing:
    """Return the conditions of the shelf, or the one called name, with what is due.

    today: the clock, for tests. Raises ShelfError where there is no shelf or no such condition.
    """
    folder = place_of_shelf(shelf)
    open_shelf(folder)
    today = today or datetime.now(UTC).date()
    names = condition_names(folder) if name is None else (find_condition(folder, name),)
    states, damaged = [], []
    for full in names:
        try:
            states.append(condition_state(read_stored(folder, full), today))
        except ShelfError:
            if name is not None:
                raise
            damaged.append(full)
    return ShelfListing(
        verdict=_verdict(states, len(damaged)), shelf=str(folder), conditions=tuple(states), damaged=tuple(damaged)
    )


def condition_state(stored: StoredCondition, today: date) -> ConditionState:
    """Return how a condition stands on a day: when it was last read and profiled, and what is due."""
    readings = [entry.date for entry in stored.entries if entry.kind == EntryKind.READINGS]
    profiles = [entry.date for entry in stored.entries if entry.kind == EntryKind.PROFILE]
    last = max(readings, default=None)
    profile = max(profiles, default=None)
    due = None
    if last is not None and stored.condition.reminder_weeks:
        due = date.fromisoformat(last[:10]) + timedelta(weeks=stored.condition.reminder_weeks)
    return ConditionState(
        stored=stored,
        last_readings=last,
        last_profile=profile,
        days_since_readings=_days(last, today),
        days_since_profile=_days(profile, today),
        due=None if due is None else due.isoformat(),
        days_past_due=0 if due is None else max(0, (today - due).days),
    )


def _days(moment: str | None, today: date) -> int | None:
    return None if moment is None else (today - date.fromisoformat(moment[:10])).days


def _verdict(states: Sequence[ConditionState], broken: int) -> str:
    if not states and not broken:
        return "The shelf is empty. Make a printing condition with spectro shelf new."
    past = [state for state in states if state.days_past_due]
    damaged = broken + sum(len(state.stored.damaged) for state in states)
    words = f"{len(states)} printing condition{'s' * (len(states) != 1)}"
    due = (
        f"{len(past)} past {'its' if len(past) == 1 else 'their'} reminder: time to print and read a check"
        if past
        else "nothing is due"
    )
    faults = f" {damaged} damaged: run spectro shelf verify." if damaged else ""
    return f"{words}; {due}.{faults}"


def shelf_verify(
    name: str | None = None,
    *,
    shelf: Path | None = None,
    rebuild: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ShelfCheck:
    """Hash everything on the shelf again, or all of one condition, and say what is damaged, missing or unknown.

    rebuild: then write the index anew from what lies there; what it listed beyond that is told this once.
    Raises ShelfError where there is no shelf, or it cannot be written to for rebuild.
    """
    folder = place_of_shelf(shelf)
    found = check_shelf(folder, name, progress=progress)
    if not rebuild:
        return found
    try:
        with shelf_lock(folder):
            write_index(folder, forget=True)
    except OSError as error:
        raise cannot_write(folder, error) from error
    return dataclasses.replace(found, rebuilt=True)
