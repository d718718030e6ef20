"""`spectro shelf note`: what was done to a printer, written down; pictures of dialogs, aims and device links, kept."""

from datetime import datetime
from pathlib import Path

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.records.shelf import EntryKind, ShelfEntry
from spectro.workflow.steps.aims_and_links import keep_aim, keep_link
from spectro.workflow.steps.shelf import add_event_in_words, add_to_shelf, stored_condition

_PICTURES = {b"\x89PNG\r\n\x1a\n": ".png", b"\xff\xd8\xff": ".jpg", b"%PDF-": ".pdf"}
"""How files begin that are pictures of a dialog, and the ending that they get."""


def shelf_note(
    condition: str,
    words: str,
    *,
    picture: Path | None = None,
    aim: Path | None = None,
    link: Path | None = None,
    date: datetime | None = None,
    shelf: Path | None = None,
) -> tuple[str, ShelfEntry]:
    """Write down what happened to a printer: the value of an `EventKind`, or any other words. date: when; None: now.

    picture: a screenshot of the settings in the driver or RIP (PNG, JPEG or PDF); it is kept with the words instead of an
    event. aim, link: an aim or a device link, kept under the words as its name. Returns the condition's full name, and what
    was added.
    Raises InputError for no words or a file that is no picture, aim or link, ShelfError for a condition that is not on the
    shelf.
    """
    name = stored_condition(shelf, condition).name
    if sum(one is not None for one in (picture, aim, link)) > 1:
        raise InputError("several of `picture`, `aim` and `link`", "one of them", "Keep them one after the other.")
    if (aim or link) and not words.split():
        raise InputError("no words", "the name that it is found by", "Say it.")
    if aim is not None:
        return name, keep_aim(shelf, name, aim, words)[-1]
    if link is not None:
        return name, keep_link(shelf, name, link, words)[-1]
    if picture is None:
        return name, add_event_in_words(shelf, name, words, date=date)
    if not words.split():
        raise InputError("no words", "what the picture shows, such as driver settings", "Say it.")
    data = read_bytes(picture)
    ending = next((ending for start, ending in _PICTURES.items() if data.startswith(start)), None)
    if ending is None:
        raise InputError(f"{picture.name}, which is no picture", "a PNG, JPEG or PDF", "Save the screenshot as one of these.")
    kept = add_to_shelf(
        shelf,
        name,
        EntryKind.PICTURE,
        data,
        name=f"{picture.stem}{ending}",
        date=date,
        role="settings",
        note=" ".join(words.split()),
    )
    return name, kept
