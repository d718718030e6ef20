"""Files that are there whole or not at all."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from spectro.errors import InputError, OutputExistsError, OutputFileError


def check_writable(path: Path, *, replace: bool) -> None:
    """Raise OutputExistsError or OutputFileError now where `write_whole` would later; nothing is written."""
    if path.is_dir():
        raise OutputFileError(path, "it is a folder")
    if path.exists() and not path.is_file():
        raise OutputFileError(path, "it is a device or pipe, which a file would take the place of")
    if path.exists() and not replace:
        raise OutputExistsError(path)
    if not path.parent.is_dir():
        raise OutputFileError(path, f"there is no folder {path.parent}")
    if not os.access(path.parent, os.W_OK):
        raise OutputFileError(path, f"no permission to write into {path.parent}")


def check_outputs(*paths: Path | None, replace: bool) -> None:
    """As `check_writable` for each path that is not None; raises InputError where two of them are the same file."""
    given = [path for path in paths if path is not None]
    if len({path.resolve() for path in given}) < len(given):
        raise InputError(f"{given[0]} for two outputs", "a file for each", "Give them two names.")
    for path in given:
        check_writable(path, replace=replace)


def write_whole(path: Path, data: bytes, *, replace: bool) -> None:
    """Write data to path in one step: a crash or a full disk leaves what was there before.

    Raises OutputExistsError where path exists and replace is not given, OutputFileError where it cannot be written.
    """
    with growing_file(path, replace=replace) as temporary, temporary.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def make_folder(folder: Path) -> None:
    """Make a folder unless it is there; the one above it must exist. Raises OutputFileError."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputFileError(folder, error.strerror or str(error)) from error


def sync_folder(folder: Path) -> None:
    """Force the names in a folder to the disk, so that they last through a loss of power, where the system can."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def growing_file(path: Path, *, replace: bool) -> Iterator[Path]:
    """Yield the path of an empty file beside the wanted one, to be written piece by piece; it takes that name at the end.

    Where the work ends in an exception nothing is left of it, and what was there before stays. Made for files that are too
    large to lie in memory and can be made again: they are not forced onto the disk before they take their name.
    Raises OutputExistsError and OutputFileError as `write_whole`.
    """
    check_writable(path, replace=replace)
    temporary = None
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:100]}.")
        os.close(handle)
        yield Path(temporary)
        os.chmod(temporary, 0o666 & ~_umask())
        if replace:
            os.replace(temporary, path)
        else:
            os.link(temporary, path)  # fails where another program made the file meanwhile
            os.unlink(temporary)
        temporary = None
    except FileExistsError as error:
        raise OutputExistsError(path) from error
    except OSError as error:
        raise OutputFileError(path, error.strerror or str(error)) from error
    finally:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
