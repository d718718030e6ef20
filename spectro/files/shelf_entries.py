"""Entries of a shelf: one small JSON file each, named by date, kind and its own SHA-256."""

import dataclasses
import hashlib
import json
import re
from datetime import UTC, datetime
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.shelf_folder import ENTRIES, FILES, read_condition
from spectro.files.shelf_write import cannot_write, hash_of_file, write_content
from spectro.records.shelf import EntryKind, EventKind, ShelfEntry, StoredCondition

ENTRY_FORMAT = 1
ENTRY_NAME = re.compile(
    r"\d{4}-\d{2}-\d{2}-(readings|profile|report|chart|picture|aim|link|edition|event)-([0-9a-f]{16})\.json"
)
FILE_NAME = re.compile(r"([0-9a-f]{64})((?:\.[a-z0-9]{1,8})?)")
_LARGEST_ENTRY = 1 << 20  # bytes; a larger file is none of ours
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z")


def iso_second(moment: datetime) -> str:
    """Return a moment in UTC to the second, as entries hold it; UTC is taken where it names no zone."""
    moment = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def pack_entry(entry: ShelfEntry) -> bytes:
    """Return the bytes of an entry, in one form only: what says nothing is left out."""
    table: dict[str, object] = {"format": ENTRY_FORMAT}
    for field in dataclasses.fields(entry):
        value = getattr(entry, field.name)
        if value not in ("", None, (), 0):
            table[field.name] = list(value) if isinstance(value, tuple) else value
    if entry.weeks is not None:
        table["weeks"] = entry.weeks
    return (json.dumps(table, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def parse_entry(data: bytes) -> ShelfEntry:
    """Return the entry of these bytes. Raises ValueError with what is wrong."""
    import msgspec

    try:
        raw = json.loads(data.decode("utf-8"))
    except RecursionError:
        raise ValueError("damaged text") from None
    if not isinstance(raw, dict) or type(raw.get("format")) is not int:
        raise ValueError("no entry of a shelf")
    if raw["format"] > ENTRY_FORMAT:
        raise ValueError(f"format {raw['format']}, newer than this version reads")
    raw.pop("format")
    try:
        entry = msgspec.convert(raw, ShelfEntry, strict=True)
    except msgspec.ValidationError as error:
        raise ValueError(str(error)) from None
    if entry.sha256 and not FILE_NAME.fullmatch(entry.sha256 + entry.suffix):
        raise ValueError(f"an impossible file name {entry.sha256 + entry.suffix!r}")
    if not _DATE.fullmatch(entry.date) or not _DATE.fullmatch(entry.added):
        raise ValueError(f"an impossible date {entry.date!r}")
    if bool(entry.sha256) == (entry.kind == EntryKind.EVENT):
        raise ValueError(f"{entry.kind} {'with' if entry.sha256 else 'without'} a file")
    return entry


def entry_name(entry: ShelfEntry) -> str:
    """Return the name of an entry's file."""
    return f"{entry.date[:10]}-{entry.kind}-{hashlib.sha256(pack_entry(entry)).hexdigest()[:16]}.json"


def read_entry(path: Path) -> ShelfEntry:
    """Return the entry in a file. Raises ValueError where it is damaged, OSError where it cannot be read."""
    name = ENTRY_NAME.fullmatch(path.name)
    if path.stat().st_size > _LARGEST_ENTRY:
        raise ValueError("a file too large for an entry")
    data = path.read_bytes()
    if name is None or hashlib.sha256(data).hexdigest()[:16] != name[2]:
        raise ValueError("bytes that its name does not fit")
    return parse_entry(data)


def read_stored(shelf: Path, name: str) -> StoredCondition:
    """Return a condition of the shelf with all its entries, oldest first; damaged ones by name.

    name: in full. Raises ShelfError where the condition itself cannot be read.
    """
    condition = read_condition(shelf, name)
    entries, damaged = [], []
    try:
        paths = sorted((shelf / name / ENTRIES).iterdir())
    except OSError as error:
        raise ShelfError(
            shelf / name / ENTRIES, error.strerror or "a read error", "the folder of entries", "Mend that."
        ) from error
    for path in paths:
        try:
            entries.append(read_entry(path))
        except (OSError, ValueError):
            damaged.append(path.name)
    entries.sort(key=lambda entry: (entry.date, entry.added, entry.kind, entry.sha256, entry.note))
    reminders = [entry for entry in entries if entry.event == EventKind.REMINDER and entry.weeks is not None]
    if reminders:
        latest = max(reminders, key=lambda entry: (entry.added, entry.date))
        condition = dataclasses.replace(condition, reminder_weeks=latest.weeks or 0)
    return StoredCondition(name=name, condition=condition, entries=tuple(entries), damaged=tuple(damaged))


def add_entry(shelf: Path, name: str, entry: ShelfEntry, data: bytes | None) -> tuple[ShelfEntry, bool]:
    """Put an entry and its file on the shelf: file first, entry last, both on the disk when this returns.

    What is there already (the same file or event with the same date and role) is not added again, but a stored file that
    no longer fits its hash is mended. Returns the entry that is there now and whether it is new. Call under `shelf_lock`.
    Raises ShelfError where it cannot be written.
    """
    folder = shelf / name
    same = _already_there(folder, entry)
    try:
        for part in (FILES, ENTRIES):
            (folder / part).mkdir(exist_ok=True)
        if data is not None:
            _put_file(shelf, folder / (same or entry).file, data, entry.sha256)
        if same is not None:
            return same, False
        write_content(shelf, folder / ENTRIES / entry_name(entry), pack_entry(entry))
    except OSError as error:
        raise cannot_write(folder, error) from error
    return entry, True


def _already_there(folder: Path, entry: ShelfEntry) -> ShelfEntry | None:
    """Return the entry of the same day and kind that says the same; only those few are looked at."""
    for path in sorted((folder / ENTRIES).glob(f"{entry.date[:10]}-{entry.kind}-*.json")):
        try:
            there = read_entry(path)
        except (OSError, ValueError):
            continue
        if _same(there, entry):
            return there
    return None


def _put_file(shelf: Path, target: Path, data: bytes, sha256: str) -> None:
    if target.is_file() and not target.is_symlink() and hash_of_file(target)[0] == sha256:
        return
    write_content(shelf, target, data)


def _same(there: ShelfEntry, entry: ShelfEntry) -> bool:
    alike: tuple[str, ...] = ("kind", "sha256", "date", "role", "event", "weeks", "sources")
    if entry.kind in (EntryKind.EVENT, EntryKind.AIM, EntryKind.LINK):
        alike = (*alike, "note")
    return all(getattr(there, field) == getattr(entry, field) for field in alike)
