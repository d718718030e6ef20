"""A shelf re-hashed: what is damaged, missing or not ours. Reads only; may run while others write.

What others add meanwhile is never taken for a fault: the index is read first, then entries, then files, the reverse of
the order in which they are written.
"""

from collections.abc import Callable
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.condition_text import pack_condition
from spectro.files.shelf_entries import ENTRY_NAME, FILE_NAME, read_entry
from spectro.files.shelf_folder import (
    CONDITION_FILE,
    CONDITION_FOLDER,
    DESK,
    ENTRIES,
    FILES,
    INDEX_FILE,
    MARK_FILE,
    condition_names,
    find_condition,
    open_shelf,
    read_condition,
)
from spectro.files.shelf_index import ShelfIndex, read_index
from spectro.files.shelf_write import LOCK_FILE, UNFINISHED, hash_of_file
from spectro.records.shelf import ShelfCheck, ShelfEntry, ShelfFinding

_LOST = "Put it back from a copy of the shelf, or add it again."


class _Tally:
    """What was counted and found so far."""

    def __init__(self) -> None:
        self.findings: list[ShelfFinding] = []
        self.conditions = self.entries = self.files = self.bytes = 0

    def fault(self, what: str, place: str, text: str) -> None:
        self.findings.append(ShelfFinding(severity="fault", what=what, place=place, text=text))

    def note(self, what: str, place: str, text: str) -> None:
        self.findings.append(ShelfFinding(severity="note", what=what, place=place, text=text))


def check_shelf(
    shelf: Path, name: str | None = None, *, progress: Callable[[str, float], None] = lambda what, done: None
) -> ShelfCheck:
    """Hash everything on a shelf, or of one of its conditions, and hold it against what was written down.

    Raises ShelfError where there is no shelf or no such condition.
    """
    open_shelf(shelf)
    tally = _Tally()
    index = _index(shelf, tally)
    names = condition_names(shelf)
    only = None if name is None else find_condition(shelf, name)
    for number, condition in enumerate(names):
        if only is None or condition == only:
            progress(condition, number / max(len(names), 1))
            _check_condition(shelf, condition, index, tally)
    if only is None:
        _check_top(shelf, names, index, tally)
    faults = sum(finding.severity == "fault" for finding in tally.findings)
    return ShelfCheck(
        verdict=_verdict(tally, faults),
        shelf=str(shelf),
        conditions=tally.conditions,
        entries=tally.entries,
        files=tally.files,
        bytes=tally.bytes,
        findings=tuple(sorted(tally.findings, key=lambda finding: (finding.severity, finding.place, finding.what))),
    )


def _verdict(tally: _Tally, faults: int) -> str:
    files = f"{tally.files} file{'s' * (tally.files != 1)}"
    whole = f"{files} and {tally.entries} entr{'ies' if tally.entries != 1 else 'y'}"
    if not faults:
        return f"The shelf is whole: {whole} are what they were when they were added."
    counts = {what: sum(f.severity == "fault" and f.what == what for f in tally.findings) for what in _WORDS}
    found = ", ".join(f"{count} {what}" for what, count in counts.items() if count)
    return f"The shelf has faults: {found}; {whole} were looked at."


_WORDS = ("damaged", "missing", "unknown")


def _index(shelf: Path, tally: _Tally) -> ShelfIndex | None:
    try:
        return read_index(shelf)
    except FileNotFoundError:
        if condition_names(shelf):
            tally.note("index", INDEX_FILE, "There is none; the next addition writes it, or `rebuild` does.")
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        tally.fault("damaged", INDEX_FILE, f"The index cannot be used: {reason}. Make it again with `rebuild`.")
    return None


def _check_condition(shelf: Path, name: str, index: ShelfIndex | None, tally: _Tally) -> None:
    tally.conditions += 1
    identity = None
    try:
        condition = read_condition(shelf, name)
        identity = condition.id
        if (shelf / name / CONDITION_FILE).read_bytes() != pack_condition(condition, with_reminder=False).encode("utf-8"):
            tally.fault("damaged", f"{name}/{CONDITION_FILE}", "The text was changed, though it means the same. " + _LOST)
    except (ShelfError, OSError) as error:
        missing = not (shelf / name / CONDITION_FILE).exists()
        text = "It is not there. " + _LOST if missing else f"{getattr(error, 'found', error)}. {_LOST}"
        tally.fault("missing" if missing else "damaged", f"{name}/{CONDITION_FILE}", text[:1].upper() + text[1:])
    entries = _check_entries(shelf, name, identity, tally)
    if index is not None:
        listed = {entry for condition, entry in index.entries if condition == name}
        for lost in sorted(listed - entries.keys() - _present(shelf / name / ENTRIES)):
            line = index.entries[name, lost]
            what = " ".join(str(line[key]) for key in ("kind", "name") if key in line)
            tally.fault("missing", f"{name}/{ENTRIES}/{lost}", f"The index lists it ({what}), but it is not there. {_LOST}")
        behind = len(entries.keys() - listed) + (name not in index.conditions)
        if behind:
            text = f"It lacks {behind} line{'s' * (behind != 1)} of {name}; the next addition writes them, or `rebuild` does."
            tally.note("index", INDEX_FILE, text)
    _check_files(shelf, name, entries, tally)
    _check_strangers(shelf / name, name, {CONDITION_FILE, FILES, ENTRIES}, tally)


def _present(folder: Path) -> set[str]:
    try:
        return {path.name for path in folder.iterdir()}
    except OSError:
        return set()


def _check_entries(shelf: Path, name: str, identity: str | None, tally: _Tally) -> dict[str, ShelfEntry]:
    entries: dict[str, ShelfEntry] = {}
    for file in sorted(_present(shelf / name / ENTRIES)):
        place, path = f"{name}/{ENTRIES}/{file}", shelf / name / ENTRIES / file
        if not ENTRY_NAME.fullmatch(file) or path.is_symlink() or not path.is_file():
            tally.fault("unknown", place, "Nothing that a shelf holds; move it elsewhere.")
            continue
        try:
            entry = read_entry(path)
        except (OSError, ValueError) as error:
            tally.fault("damaged", place, f"It holds {error}. {_LOST}")
            continue
        if identity is not None and entry.condition != identity:
            tally.fault("unknown", place, "It belongs to another condition; move it there.")
            continue
        tally.entries += 1
        entries[file] = entry
    return entries


def _check_files(shelf: Path, name: str, entries: dict[str, ShelfEntry], tally: _Tally) -> None:
    owners: dict[str, list[ShelfEntry]] = {}
    for entry in entries.values():
        if entry.file:
            owners.setdefault(Path(entry.file).name, []).append(entry)
    present = _present(shelf / name / FILES)
    for file in sorted(owners.keys() - present):
        owner = owners[file][0]
        text = f"The {owner.kind} {owner.name or 'file'} of {owner.date[:10]} is not there. {_LOST}"
        tally.fault("missing", f"{name}/{FILES}/{file}", text)
    for file in sorted(present):
        place, path = f"{name}/{FILES}/{file}", shelf / name / FILES / file
        named = FILE_NAME.fullmatch(file)
        if named is None or path.is_symlink() or not path.is_file():
            tally.fault("unknown", place, "Nothing that a shelf holds; move it elsewhere.")
            continue
        try:
            found, size = hash_of_file(path)
        except OSError as error:
            tally.fault("damaged", place, f"It cannot be read: {error.strerror}. {_LOST}")
            continue
        tally.files += 1
        tally.bytes += size
        if found != named[1]:
            owner_text = f" ({owners[file][0].kind} {owners[file][0].name})" if file in owners else ""
            text = f"Its bytes are not those that were added{owner_text}: SHA-256 {found[:16]}… now. {_LOST}"
            tally.fault("damaged", place, text)
        elif file not in owners:
            tally.note("unfinished", place, "Whole, but no entry speaks of it: an addition was stopped, or its entry was lost.")


def _check_top(shelf: Path, names: tuple[str, ...], index: ShelfIndex | None, tally: _Tally) -> None:
    if index is not None:
        known = {*index.conditions, *(name for name, _ in index.entries)}
        for lost in sorted(known - set(names)):
            tally.fault("missing", lost, f"The index lists this condition, but it is not there. {_LOST}")
    _check_strangers(shelf, "", {MARK_FILE, INDEX_FILE, LOCK_FILE, DESK, *names}, tally)


def _check_strangers(folder: Path, within: str, ours: set[str], tally: _Tally) -> None:
    for file in sorted(_present(folder) - ours):
        place = f"{within}/{file}" if within else file
        if not within and file.startswith(UNFINISHED):
            tally.note("unfinished", place, "Left by a writer that was stopped, or still at work; the next one clears it away.")
        elif not within and CONDITION_FOLDER.fullmatch(file) and not (folder / file).is_symlink():
            tally.note("unfinished", place, "Added while this was looked at.")
        elif file.startswith("."):
            tally.note("unknown", place, "A hidden file; systems leave such files about.")
        else:
            tally.fault("unknown", place, "Nothing that a shelf holds; move it elsewhere.")
