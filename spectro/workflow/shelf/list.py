"""`spectro shelf list`: the conditions of the shelf, and what is due."""

from datetime import UTC, date, datetime
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.shelf_entries import read_stored
from spectro.files.shelf_folder import condition_names, find_condition, open_shelf, place_of_shelf
from spectro.records.shelf import ConditionState, ShelfListing
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
            states.append(ConditionState.on_day(read_stored(folder, full), today))
        except ShelfError:
            if name is not None:
                raise
            damaged.append(full)
    return ShelfListing(
        verdict=listing_verdict(states, len(damaged)), shelf=str(folder), conditions=tuple(states), damaged=tuple(damaged)
    )
