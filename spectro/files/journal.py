"""An append-only journal: one JSON object a line, each line with two check sums: one that also covers the line before, so that
nothing can be moved or taken out unseen, and one of its own, so that it can be trusted even where its neighbour is damaged.

A line is on the disk (fsync) before `append` returns. A line that a crash cut short has no line end: it was never
accepted and is cut off. A line that is whole but whose check sums do not fit was damaged afterwards: nothing tells what it
was. It is refused, or left out where the reader asks for all lines that are whole. Journals of older versions have lines
with the first check sum alone. One program at a time writes into a sitting's folder; the system lets go of the lock when its
holder ends, however it ends.
"""

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from spectro.errors import InputError, MeasurementFileError, OutputFileError
from spectro.files.atomic import sync_folder
from spectro.files.text_lines import read_bytes

LOCK_FILE = "sitting.lock"
_CHECK = re.compile(rb'(\{.*),"check":"([0-9a-f]{16})([0-9a-f]{16})?"\}', re.DOTALL)


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalContent:
    """What stands in a journal."""

    entries: tuple[bytes, ...]  # JSON objects, without their check sums
    whole: int  # bytes up to the end of the last whole line
    torn: int  # bytes of a line behind it that a crash cut short
    sha256: str  # of the whole lines
    last_check: str  # check sum of the last line; "" for an empty journal
    damaged: tuple[int, ...] = ()  # numbers of the lines that were left out, from 1


def read_journal(path: Path, *, leave_out_damaged: bool = False) -> JournalContent:
    """Return what stands in a journal; an absent file is an empty one. Nothing is changed.

    leave_out_damaged: lines that were changed are left out, and their numbers told. A line of an older version, which has no
    check sum of its own, is then taken where the line before cannot be read at all; other such lines are left out as well.
    Raises MeasurementFileError for a whole line that was changed, moved or taken out, unless they are left out.
    """
    data = read_bytes(path) if path.exists() else b""
    *lines, rest = data.split(b"\n")
    entries: list[bytes] = []
    damaged: list[int] = []
    check, legible, last = "", True, b""
    for number, line in enumerate(lines, 1):
        match = _CHECK.fullmatch(line)
        body = match[1] + b"}" if match else b""
        chained = match is not None and match[2].decode("ascii") == _check_sum(check, body)
        own = match[3] if match else None
        sound = own is None or own.decode("ascii") == _own_sum(body)
        whole = chained and sound
        if not whole and leave_out_damaged and match is not None and line != last:
            whole = sound if own is not None else not legible
        if not whole and not leave_out_damaged:
            raise MeasurementFileError(
                path, number, "a line whose check sum does not fit", "the line as it was written, behind the one before it",
                "Take an unharmed copy of this file, or begin another sitting with `sitting`; keep this file: "
                "its other lines can still be read by eye.",
            )  # fmt: skip
        if whole:
            entries.append(body)
        else:
            damaged.append(number)
        legible, last = match is not None, line
        check = match[2].decode("ascii") if match else ""
    done = len(data) - len(rest)
    return JournalContent(
        entries=tuple(entries), whole=done, torn=len(rest), sha256=hashlib.sha256(data[:done]).hexdigest(), last_check=check,
        damaged=tuple(damaged),
    )  # fmt: skip


class JournalWriter:
    """Appends to a journal. Use it within `with`, and only under a lock of its folder."""

    def __init__(self, path: Path, *, leave_out_damaged: bool = False) -> None:
        """Open the journal, which is made if it is not there, and cut off a torn last line. The rest as `read_journal`.

        Raises OutputFileError where it cannot be written, MeasurementFileError where it is damaged.
        """
        self.path = path
        try:
            self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666)
        except OSError as error:
            raise OutputFileError(path, error.strerror or str(error)) from error
        try:
            self.content = read_journal(path, leave_out_damaged=leave_out_damaged)
            self._check, self._size = self.content.last_check, self.content.whole
            if self.content.torn:
                os.ftruncate(self._file, self._size)
            os.fsync(self._file)
            sync_folder(path.parent)
        except OSError as error:
            os.close(self._file)
            raise OutputFileError(path, error.strerror or str(error)) from error
        except BaseException:
            os.close(self._file)
            raise

    def append(self, entry: bytes) -> None:
        """Append a JSON object, `{"…": …}` without line ends; it is on the disk when this returns.

        Raises OutputFileError where it cannot be written; the journal is then as it was before.
        """
        check = _check_sum(self._check, entry)
        line = entry[:-1] + f',"check":"{check}{_own_sum(entry)}"}}\n'.encode("ascii")
        try:
            rest = memoryview(line)
            while rest:
                rest = rest[os.write(self._file, rest) :]
            os.fsync(self._file)
        except OSError as error:
            os.ftruncate(self._file, self._size)
            raise OutputFileError(self.path, error.strerror or str(error)) from error
        self._check, self._size = check, self._size + len(line)

    def close(self) -> None:
        """Close the file."""
        os.close(self._file)

    def __enter__(self) -> Self:
        """Return the writer."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None) -> None:
        """Close the file."""
        self.close()


@contextmanager
def sitting_lock(folder: Path, what: str = "the sitting") -> Iterator[None]:
    """Hold the lock of a folder, which is made if it is not there. what: it is, for the message.

    Raises InputError at once where another program holds it, OutputFileError where the folder cannot be written.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK_FILE, timeout=0)
    try:
        folder.mkdir(parents=False, exist_ok=True)
        lock.acquire()
    except Timeout:
        raise InputError(
            f"{what} {folder} in use by another program",
            "one program at a time",
            "Go on there, or end it first; nothing was changed.",
        ) from None
    except (OSError, NotImplementedError) as error:
        raise OutputFileError(folder, getattr(error, "strerror", None) or str(error)) from error
    try:
        yield
    finally:
        lock.release()


def _check_sum(before: str, entry: bytes) -> str:
    return hashlib.sha256(before.encode("ascii") + entry).hexdigest()[:16]


def _own_sum(entry: bytes) -> str:
    return hashlib.sha256(b"own" + entry).hexdigest()[:16]
