"""`spectro shelf verify`: everything on the shelf hashed again."""

import dataclasses
from collections.abc import Callable
from pathlib import Path

from spectro.files.shelf_check import check_shelf
from spectro.files.shelf_folder import place_of_shelf
from spectro.files.shelf_index import write_index
from spectro.files.shelf_write import cannot_write, shelf_lock
from spectro.records.shelf import ShelfCheck


def shelf_verify(
    name: str | None = None,
    *,
    shelf: Path | None = None,
    rebuild: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ShelfCheck:
    """Hash everything on the shelf again, or all of one condition, and say what is damaged, missing or unknown.

    rebuild: then write the index again from what lies there; what it listed beyond that is told this once.
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
