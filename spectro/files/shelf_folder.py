"""The folder of a shelf: what lies where, how conditions are named, made and found.

    SHELF/shelf.json                      says that this is a shelf, and its format
    SHELF/index.jsonl                     everything in one readable list; can be made anew from the rest
    SHELF/desk/                           where the desk works; no part of what is kept
    SHELF/NAME-1a2b3c4d/condition.toml    a printing condition; the folder's name ends with the start of its SHA-256
    SHELF/NAME-1a2b3c4d/files/HASH.icc    a file as it was added, named by its SHA-256
    SHELF/NAME-1a2b3c4d/entries/…json     what that file is and when it came; named by date, kind and its own SHA-256

A file is on the shelf when its entry is: the entry is written last, after the file is on the disk.
"""

import difflib
import json
import os
import re
import unicodedata
from pathlib import Path

from spectro.errors import RecipeError, ShelfError
from spectro.files.condition_text import pack_condition, parse_condition
from spectro.files.shelf_write import LOCK_FILE, UNFINISHED, cannot_write, make_folder, shelf_lock, write_content
from spectro.records.printing_condition import PrintingCondition

SHELF_FORMAT = 1
MARK_FILE = "shelf.json"
INDEX_FILE = "index.jsonl"
CONDITION_FILE = "condition.toml"
FILES, ENTRIES = "files", "entries"
DESK = "desk"
"""What the desk works in, beside the conditions; nothing of it is on the shelf."""
ID_LETTERS = 8
"""Letters of a condition's SHA-256 in the name of its folder."""

CONDITION_FOLDER = re.compile(rf"[a-z0-9][a-z0-9-]*-[0-9a-f]{{{ID_LETTERS}}}")
_PART = 24  # letters of printer, paper and setting each, so that names stay readable
_MARK = '{"format": 1, "what": "A shelf of printing conditions: nothing that lies here is ever changed."}\n'


def place_of_shelf(named: Path | None) -> Path:
    """Return the folder of the shelf: as named, else SPECTRO_SHELF, else in the user's data folder."""
    if named is not None:
        return named
    if os.environ.get("SPECTRO_SHELF"):
        return Path(os.environ["SPECTRO_SHELF"])
    import platformdirs

    return Path(platformdirs.user_data_dir("spectro", appauthor=False)) / "shelf"


def open_shelf(shelf: Path) -> None:
    """Check that there is a shelf this version can use. Raises ShelfError."""
    try:
        raw = json.loads((shelf / MARK_FILE).read_text("utf-8"))
    except FileNotFoundError:
        found = "no shelf there" if shelf.exists() else "no such folder"
        raise ShelfError(
            shelf, found, "a shelf", "Name another with `shelf` or SPECTRO_SHELF, or make one with spectro shelf new."
        ) from None
    except OSError as error:
        raise ShelfError(
            shelf / MARK_FILE, error.strerror or "a read error", "a file that can be read", "Mend that."
        ) from error
    except (ValueError, RecursionError):
        raise ShelfError(
            shelf / MARK_FILE, "damaged text", f"the line {_MARK.strip()}", "Write that line into it; nothing else is needed."
        ) from None
    number = raw.get("format") if isinstance(raw, dict) else None
    if type(number) is not int or number > SHELF_FORMAT:
        raise ShelfError(
            shelf, f"a shelf of format {number}", f"format {SHELF_FORMAT}", "Install a newer version, or mend shelf.json."
        )


def make_shelf(shelf: Path) -> None:
    """Make a shelf where there is none. Raises ShelfError, also for a folder that holds something else."""
    if (shelf / MARK_FILE).exists():
        open_shelf(shelf)
        return
    try:
        if shelf.exists():
            ours = (LOCK_FILE, DESK)
            strange = [path.name for path in shelf.iterdir() if path.name not in ours and not path.name.startswith(UNFINISHED)]
            if strange and not all(_is_condition_folder(shelf / name) or name == INDEX_FILE for name in strange):
                raise ShelfError(
                    shelf,
                    f"a folder with other things in it ({sorted(strange)[0]})",
                    "a shelf, or an empty folder, or none",
                    "Name another with `shelf`.",
                )
        shelf.mkdir(parents=True, exist_ok=True)
        with shelf_lock(shelf):
            write_content(shelf, shelf / MARK_FILE, _MARK.encode("utf-8"))
    except OSError as error:
        raise cannot_write(shelf, error) from error


def _is_condition_folder(path: Path) -> bool:
    return bool(CONDITION_FOLDER.fullmatch(path.name)) and (path / CONDITION_FILE).is_file()


def folder_name(condition: PrintingCondition) -> str:
    """Return the name a condition has on the shelf: readable, safe on every common file system, told apart by its id.

    >>> folder_name(PrintingCondition(printer="Büro printer", paper="Rag 310 g/m²"))
    'buro-printer-rag-310-g-m2-15511215'
    """
    parts: list[str] = []
    for text in (condition.printer, condition.paper, condition.media_setting):
        part = _slug(text)
        if part and not any(part in earlier for earlier in parts):
            parts.append(part)
    return "-".join(parts or ["condition"]) + "-" + condition.id[:ID_LETTERS]


def _slug(text: str) -> str:
    """Return text in small letters, digits and hyphens, without what stands in brackets, cut between words."""
    plain = unicodedata.normalize("NFKD", re.sub(r"\(.*?\)", "", text)).encode("ascii", "ignore").decode("ascii").lower()
    slug = re.sub("[^a-z0-9]+", "-", plain).strip("-")
    if len(slug) <= _PART:
        return slug
    return (slug[: _PART + 1].rpartition("-")[0] or slug[:_PART]).strip("-")


def condition_names(shelf: Path) -> tuple[str, ...]:
    """Return the names of the conditions on a shelf, sorted. Raises ShelfError where it cannot be read."""
    try:
        found = [path.name for path in shelf.iterdir() if CONDITION_FOLDER.fullmatch(path.name) and not path.is_symlink()]
    except OSError as error:
        raise ShelfError(shelf, error.strerror or "a read error", "a folder that can be read", "Mend that.") from error
    return tuple(sorted(found))


def find_condition(shelf: Path, name: str) -> str:
    """Return the full name of the one condition that name means: its name, the start of it, or of its id.

    Raises ShelfError where there is none or more than one.
    """
    names = condition_names(shelf)
    if name in names:
        return name
    wanted = name.strip().lower()
    ids = {full: full[-ID_LETTERS:] for full in names}
    fitting = [full for full in names if wanted and (full.startswith(wanted) or ids[full].startswith(wanted))]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        raise ShelfError(
            shelf, f"{len(fitting)} conditions that begin with {name!r}", "one", "Name one of: " + ", ".join(fitting) + "."
        )
    near = difflib.get_close_matches(wanted, names, n=3, cutoff=0.4) or list(names[:5])
    known = "The nearest: " + ", ".join(near) + "." if near else "There is none yet: make one with spectro shelf new."
    raise ShelfError(shelf, f"no condition {name!r}", "the name of one, as spectro shelf list shows it", known)


def read_condition(shelf: Path, name: str) -> PrintingCondition:
    """Return the condition in the folder name, with no word of its reminder. Raises ShelfError where it is damaged."""
    path = shelf / name / CONDITION_FILE
    try:
        condition = parse_condition(path.read_bytes(), path)
    except OSError as error:
        raise ShelfError(
            path, error.strerror or "a read error", "the condition's file", "Put it back from a copy of the shelf."
        ) from error
    except RecipeError as error:
        raise ShelfError(
            path, f"{error.key}: {error.found}", error.expected, "Put the file back from a copy of the shelf."
        ) from None
    if condition.id[:ID_LETTERS] != name[-ID_LETTERS:]:
        raise ShelfError(
            path,
            "a condition that was changed",
            f"the one that its folder is named by ({name[-ID_LETTERS:]})",
            "Put the file back; a changed condition is made with spectro shelf new --like.",
        )
    return condition


def add_condition(shelf: Path, condition: PrintingCondition) -> tuple[str, bool]:
    """Put a condition on the shelf. Returns its name, and whether it is new there. Call under `shelf_lock`.

    Raises ShelfError where it cannot be written.
    """
    name = folder_name(condition)
    for there in condition_names(shelf):
        if there[-ID_LETTERS:] == name[-ID_LETTERS:] and read_condition(shelf, there).id == condition.id:
            return there, False

    def fill(folder: Path) -> None:
        (folder / FILES).mkdir()
        (folder / ENTRIES).mkdir()
        text = pack_condition(condition, with_reminder=False)
        write_content(folder, folder / CONDITION_FILE, text.encode("utf-8"))

    try:
        make_folder(shelf, name, fill)
    except OSError as error:
        raise cannot_write(shelf, error) from error
    return name, True
