"""How things get onto a shelf: under its lock, whole or not at all, on the disk before anything is said to be there.

Every file is written beside its place under an unfinished name, forced to the disk, renamed, and the folder that names it
is forced too. What a crash leaves unfinished is swept away by the next writer, who holds the lock then.
"""

import contextlib
import hashlib
import os
import secrets
import shutil
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

from spectro.errors import ShelfError
from spectro.files.atomic import sync_folder

UNFINISHED = ".unfinished-"
LOCK_FILE = ".shelf.lock"
WAIT_S = 120.0
"""Seconds to wait for another program: longer than any one addition takes (our choice)."""

_READ_ONLY = 0o444
_CHUNK = 1 << 20


@contextlib.contextmanager
def shelf_lock(shelf: Path, *, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the shelf for writing; another program waits meanwhile. What crashes left unfinished is removed.

    Raises ShelfError where the shelf cannot be written to, or stays held for wait_s seconds.
    """
    import filelock

    lock = filelock.FileLock(shelf / LOCK_FILE)
    try:
        lock.acquire(timeout=wait_s)
    except filelock.Timeout:
        raise ShelfError(
            shelf, "another program at work on the shelf", f"the shelf to be free within {wait_s:g} s", "Try again later."
        ) from None
    except OSError as error:
        raise cannot_write(shelf, error) from error
    try:
        _sweep(shelf)
        yield
    finally:
        lock.release()


def cannot_write(place: Path, error: OSError) -> ShelfError:
    """Return the error for a shelf that cannot be written to."""
    return ShelfError(
        place,
        f"a folder that cannot be written to ({error.strerror or error})",
        "one with room and permission to write",
        "Mend that, or name another shelf with `shelf`. Nothing was added; what was on the shelf before is untouched.",
    )


def write_content(shelf: Path, target: Path, data: bytes, *, read_only: bool = True) -> None:
    """Put data at target, replacing what is there: it is there whole and on the disk afterwards, or not at all.

    Call under `shelf_lock`. Raises OSError; then target is as it was.
    """
    unfinished = shelf / f"{UNFINISHED}{secrets.token_hex(8)}"
    try:
        handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        try:
            _write_all(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
        if read_only:
            os.chmod(unfinished, stat.S_IMODE(os.stat(unfinished).st_mode) & _READ_ONLY)
        os.replace(unfinished, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(unfinished)
        raise
    sync_folder(target.parent)


def make_folder(shelf: Path, name: str, fill: Callable[[Path], None]) -> None:
    """Make the folder name on the shelf with what fill puts into it: there whole, or not at all.

    fill: gets the folder to fill, under its unfinished name; files it writes must be forced to the disk by it.
    Call under `shelf_lock`. Raises OSError.
    """
    unfinished = shelf / f"{UNFINISHED}{secrets.token_hex(8)}"
    try:
        os.mkdir(unfinished)
        fill(unfinished)
        sync_folder(unfinished)
        os.rename(unfinished, shelf / name)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise
    sync_folder(shelf)


def hash_of_file(path: Path) -> tuple[str, int]:
    """Return SHA-256 (hexadecimal) and size of a file. Raises OSError."""
    digest, size = hashlib.sha256(), 0
    with path.open("rb") as stream:
        while chunk := stream.read(_CHUNK):
            digest.update(chunk)
            size += len(chunk)
    return digest.hexdigest(), size


def _write_all(handle: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(handle, view[:_CHUNK]) :]


def _sweep(shelf: Path) -> None:
    """Remove what earlier writers left unfinished; they are gone, since the lock is ours."""
    with contextlib.suppress(OSError):
        for left in list(shelf.iterdir()):
            if left.name.startswith(UNFINISHED):
                if left.is_dir() and not left.is_symlink():
                    shutil.rmtree(left, ignore_errors=True)
                else:
                    left.unlink(missing_ok=True)
