"""Copies here of files that lie at addresses, such as s3://bucket/folder, and of results there; only what changed is moved.

Addresses are those of fsspec, a general library: whatever storage it knows, with the rights that are set up for it.
"""

import hashlib
import importlib
import json
import os
from collections.abc import Iterable
from pathlib import Path, PurePosixPath
from typing import Any

from spectro.errors import InputError
from spectro.files.atomic import write_whole
from spectro.files.digests import file_digest

_KNOWN = "moved.json"


def storage_folder() -> Path:
    """Return the folder of the copies: SPECTRO_STORAGE, else in the user's cache."""
    if named := os.environ.get("SPECTRO_STORAGE"):
        return Path(named).absolute()
    import platformdirs

    return Path(platformdirs.user_cache_dir("spectro", appauthor=False)) / "storage"


class Storage:
    """Copies of what lies at addresses, below one folder here."""

    def __init__(self, folder: Path | None = None) -> None:
        """folder: of the copies; None: as `storage_folder`."""
        self.folder = folder or storage_folder()
        self._file = self.folder / _KNOWN
        self._moved: dict[str, dict[str, str]] = {}
        if self._file.is_file():
            self._moved = json.loads(self._file.read_text("utf-8"))

    def local(self, address: str) -> Path:
        """Return where the copy of a file or folder lies; what lies in one folder there lies in one folder here."""
        head, _, name = address.rstrip("/").rpartition("/")
        return self.folder / hashlib.sha256(head.encode()).hexdigest()[:16] / (PurePosixPath(name).name or "root")

    def exists(self, address: str) -> bool:
        """Return whether anything lies at an address. Raises InputError where it cannot be asked."""
        system, place = _system(address)
        return bool(_asked(address, system.exists, place))

    def fetch(self, address: str, to: Path | None = None) -> Path:
        """Bring the copy of a file, or of all files of a folder, up to date and return it. to: where it lies; None: `local`.

        Raises InputError where nothing lies there, or it cannot be had.
        """
        system, place = _system(address)
        target = to or self.local(address)
        if _asked(address, system.isdir, place):
            target.mkdir(parents=True, exist_ok=True)
            root = place.rstrip("/")
            for one in _asked(address, system.find, place):
                inner = str(one).removeprefix(root).lstrip("/")
                if ".." not in PurePosixPath(inner).parts:
                    self._get(system, str(one), f"{address.rstrip('/')}/{inner}", target / inner)
        elif _asked(address, system.exists, place):
            self._get(system, place, address, target)
        else:
            raise InputError(f"nothing at {address}", "a file or folder", "Correct the address.")
        self._keep()
        return target

    def push(self, files: Iterable[Path], folder: Path, address: str) -> None:
        """Put files that lie below a folder here under an address, those that are not there already as they are."""
        system, place = _system(address)
        for file in files:
            inner = file.relative_to(folder).as_posix()
            there, name = f"{place.rstrip('/')}/{inner}", f"{address.rstrip('/')}/{inner}"
            known, digest = self._moved.get(name), file_digest(file)
            if known and known["digest"] == digest and known["state"] == _state(system, there):
                continue
            _asked(name, system.makedirs, system._parent(there), exist_ok=True)
            _asked(name, system.put_file, str(file), there)
            self._moved[name] = {"state": _state(system, there), "digest": digest}
        self._keep()

    def _get(self, system: Any, place: str, address: str, target: Path) -> None:
        known, state = self._moved.get(address), _state(system, place)
        if known and known["state"] == state and known["digest"] == file_digest(target):
            return
        target.parent.mkdir(parents=True, exist_ok=True)
        rest = target.with_name(f".{target.name}.coming")
        _asked(address, system.get_file, place, str(rest))
        rest.replace(target)
        self._moved[address] = {"state": state, "digest": file_digest(target)}

    def _keep(self) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        write_whole(self._file, json.dumps(self._moved, indent=1).encode(), replace=True)


def _system(address: str) -> tuple[Any, str]:
    """Return the file system of an address and the place within it."""
    try:
        fsspec: Any = importlib.import_module("fsspec")
    except ImportError as error:
        fix = "Install it: pip install 'spectro[cluster]'"
        raise InputError(f"{address} without what reads addresses", "the extra for clusters and storage", fix) from error
    system, place = _asked(address, fsspec.core.url_to_fs, address)
    return system, str(place)


def _asked(address: str, question: Any, *words: Any, **more: Any) -> Any:
    """Return what a storage answers. Its errors are of many kinds, each library's own: all are told as one of the input."""
    try:
        return question(*words, **more)
    except FileNotFoundError as error:
        raise InputError(f"nothing at {address}", "a file or folder", "Correct the address.") from error
    except Exception as error:
        words_of = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        fix = "Look at the address, and at the rights you have there."
        raise InputError(f"no way to {address} ({words_of})", "storage that answers", fix) from error


def _state(system: Any, place: str) -> str:
    """Return what tells a file there from an earlier one: size, time, tag, whatever the storage has."""
    try:
        system.invalidate_cache()
        return str(system.ukey(place))
    except Exception:
        return ""  # then it is moved again
