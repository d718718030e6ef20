"""`spectro shelf note`: what was done to a printer, written down."""

from datetime import datetime
from pathlib import Path

from spectro.records.shelf import ShelfEntry
from spectro.workflow.steps.shelf import add_event_in_words


def shelf_note(condition: str, words: str, *, date: datetime | None = None, shelf: Path | None = None) -> ShelfEntry:
    """Write down what happened to a printer: the value of an `EventKind`, or any other words. date: when; None: now.

    Raises InputError for no words, ShelfError for a condition that is not on the shelf.
    """
    return add_event_in_words(shelf, condition, words, date=date)
