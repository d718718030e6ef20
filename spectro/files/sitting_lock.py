"""One program at a time in a sitting's folder. The system lets go of the lock when its holder ends, however it ends."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from spectro.errors import InputError, OutputFileError

LOCK_FILE = "sitting.lock"


@contextmanager
def sitting_lock(folder: Path) -> Iterator[None]:
    """Hold the lock of a folder, which is made if it is not there.

    Raises InputError at once where another program holds it, OutputFileError where the folder cannot be written.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK_FILE, timeout=0)
    try:
        folder.mkdir(parents=False, exist_ok=True)
        lock.acquire()
    except Timeout:
        raise InputError(
            f"the sitting {folder} in use by another program",
            "one program at a time",
            "Go on there, or end it first; nothing was changed.",
        ) from None
    except (OSError, NotImplementedError) as error:
        raise OutputFileError(folder, getattr(error, "strerror", None) or str(error)) from error
    try:
        yield
    finally:
        lock.release()
