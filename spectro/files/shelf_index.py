"""The index of a shelf: one JSON line a condition or entry, for people and as a second witness of what was added.

Nothing depends on it: what lies on the shelf is read from where it lies. A line without its entry tells that the entry
was lost; an entry without its line only that a writer was stopped just then.
"""

import json
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.shelf_entries import ENTRY_NAME, read_entry
from spectro.files.shelf_folder import CONDITION_FOLDER, ENTRIES, INDEX_FILE, condition_names, read_condition
from spectro.files.shelf_write import write_content
from spectro.records.shelf import ShelfEntry

INDEX_FORMAT = 1
_HEAD = {
    "format": INDEX_FORMAT,
    "what": "What lies on this shelf, one line each. Made again by: spectro shelf verify --rebuild",
}


@dataclass(frozen=True, slots=True)
class ShelfIndex:
    """The lines of an index: by condition's name, and by condition and entry's file name."""

    conditions: dict[str, dict[str, object]]
    entries: dict[tuple[str, str], dict[str, object]]


def read_index(shelf: Path) -> ShelfIndex:
    """Return the index as it lies there. Raises ValueError where it is damaged, OSError where it cannot be read."""
    lines = (shelf / INDEX_FILE).read_bytes().decode("utf-8").split("\n")
    if lines[-1] != "":
        raise ValueError("its last line is cut")
    index = ShelfIndex({}, {})
    for number, line in enumerate(lines[:-1], 1):
        try:
            raw = json.loads(line)
        except (ValueError, RecursionError):
            raise ValueError(f"line {number} is damaged") from None
        if not isinstance(raw, dict):
            raise ValueError(f"line {number} is damaged")
        if number == 1:
            if raw.get("format") != INDEX_FORMAT:
                raise ValueError(f"its format is {raw.get('format')}, not {INDEX_FORMAT}")
            continue
        condition, entry = raw.get("condition"), raw.get("entry", "")
        if not isinstance(condition, str) or not CONDITION_FOLDER.fullmatch(condition):
            raise ValueError(f"line {number} names no condition")
        if not entry:
            index.conditions[condition] = raw
        elif isinstance(entry, str) and ENTRY_NAME.fullmatch(entry):
            index.entries[condition, entry] = raw
        else:
            raise ValueError(f"line {number} names no entry")
    if not lines[:-1]:
        raise ValueError("it is empty")
    return index


def index_of(shelf: Path, known: ShelfIndex | None = None) -> ShelfIndex:
    """Return the index of what lies on the shelf, and of what known lists beyond that. What is damaged is left out."""
    index = ShelfIndex(dict(known.conditions), dict(known.entries)) if known else ShelfIndex({}, {})
    for name in condition_names(shelf):
        try:
            if name not in index.conditions:
                index.conditions[name] = {"condition": name, "id": read_condition(shelf, name).id}
            paths = list((shelf / name / ENTRIES).iterdir())
        except (ShelfError, OSError):
            continue
        for path in paths:
            if (name, path.name) in index.entries or not ENTRY_NAME.fullmatch(path.name):
                continue
            try:
                entry = read_entry(path)
            except (OSError, ValueError):
                continue
            index.entries[name, path.name] = _line(name, path.name, entry)
    return index


def _line(condition: str, file: str, entry: ShelfEntry) -> dict[str, object]:
    line: dict[str, object] = {"condition": condition, "entry": file, "kind": entry.kind}
    for key in ("date", "added", "name", "file", "size", "role", "event", "weeks", "note"):
        value = getattr(entry, key)
        if value or (key == "weeks" and value is not None):
            line[key] = value
    return line


def pack_index(index: ShelfIndex) -> bytes:
    """Return the bytes of an index: conditions by name, each with its entries by date."""
    lines: list[dict[str, object]] = [_HEAD]
    names = sorted({*index.conditions, *(name for name, _ in index.entries)})
    for name in names:
        if name in index.conditions:
            lines.append(index.conditions[name])
        lines += [index.entries[key] for key in sorted(index.entries) if key[0] == name]
    return "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines).encode("utf-8")


def write_index(shelf: Path, *, forget: bool = False) -> None:
    """Bring the index up to what lies there. Call under `shelf_lock`. Raises OSError.

    forget: True drops lines of what is no longer there; else they stay, as witnesses of a loss.
    """
    known = None
    if not forget:
        try:
            known = read_index(shelf)
        except (OSError, ValueError):
            known = None
    index = index_of(shelf, known)
    if known is None or index.entries.keys() != known.entries.keys() or index.conditions.keys() != known.conditions.keys():
        write_content(shelf, shelf / INDEX_FILE, pack_index(index), read_only=False)
