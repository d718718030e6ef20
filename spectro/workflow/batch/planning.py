"""Plans that nobody wrote: of a folder of readings, of conditions on the shelf; and what tasks take from the shelf."""

from collections.abc import Callable, Sequence
from pathlib import Path

from spectro.errors import InputError
from spectro.files.shelf_folder import condition_names, find_condition, open_shelf, place_of_shelf
from spectro.records.batch import PlannedTask, Prepared
from spectro.workflow.batch.digests import file_digest
from spectro.workflow.steps.condition_files import condition_files

READINGS = (".txt", ".cgats", ".it8", ".csv", ".tsv", ".cxf", ".xml", ".xlsx")
"""Endings of files that are taken for readings in a folder."""


def of_folder(folder: Path, do: str) -> list[PlannedTask]:
    """Return a task for each file of readings in a folder. Raises InputError where it has none."""
    files = sorted(one for one in folder.iterdir() if one.is_file() and one.suffix.lower() in READINGS)
    if do != "build":
        raise InputError(f"{do} with a folder", "build", "Write a plan that says which profile each file is compared with.")
    if not files:
        raise InputError(f"no readings in {folder}", f"files ending in {', '.join(READINGS)}", "Name another folder.")
    stems = [one.stem for one in files]
    return [
        PlannedTask(name=one.stem if stems.count(one.stem) == 1 else one.name, do=do, options={"readings": [one.name]})
        for one in files
    ]


def of_conditions(names: Sequence[str], do: str, *, shelf: Path | None) -> list[PlannedTask]:
    """Return a task for each printing condition named; for every one on the shelf where none is.

    Raises InputError where the shelf has none, ShelfError for a name that it lacks.
    """
    place = place_of_shelf(shelf)
    open_shelf(place)
    found = [find_condition(place, name) for name in names] or list(condition_names(place))
    if not found:
        raise InputError("no printing conditions on the shelf", "some", "spectro shelf new puts one there.")
    return [PlannedTask(name=name, do=do, options=_of_condition(name, do, shelf)) for name in dict.fromkeys(found)]


def _of_condition(name: str, do: str, shelf: Path | None) -> dict[str, str]:
    own = {"shelf": str(place_of_shelf(shelf).absolute())}
    return {"readings": name, **own} if do == "build" else {"profile": name, **own}


def condition_finder(shelf: Path | None) -> Callable[[str], bool]:
    """Return a function that tells whether a word names a printing condition on the shelf."""

    def found(word: str) -> bool:
        with condition_files(shelf) as files:
            return bool(files.named(word))

    return found


def shelf_digest(prepared: Prepared, shelf: Path | None) -> str:
    """Return a digest of what lies on the shelf under the conditions that a task names, "" where it names none."""
    own = [word.removeprefix("--shelf=") for word in prepared.words if word.startswith("--shelf=")]
    place = Path(own[-1]) if own else shelf
    named = [word.removeprefix("--on-shelf=") for word in prepared.words if word.startswith("--on-shelf=")]
    last = prepared.words[prepared.words.index("--") + 1 :] if "--" in prepared.words else ()
    with condition_files(place) as files:
        names = {files.named(word) for word in (*named, *last)} - {""}
    return ",".join(file_digest(place_of_shelf(place) / name) for name in sorted(names))
