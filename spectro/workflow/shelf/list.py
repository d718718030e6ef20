"""`spectro shelf list`: the conditions of the shelf, and what is due."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.shelf_entries import read_stored
from spectro.files.shelf_folder import condition_names, find_condition, open_shelf, place_of_shelf
from spectro.records.shelf import ConditionState, EntryKind, ShelfListing, StoredCondition
from spectro.words.shelf import listing_verdict


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
        verdict=listing_verdict(states, len(damaged)), shelf=str(folder), conditions=tuple(states), damaged=tuple(damaged)
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
