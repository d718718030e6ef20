"""Digests of files and of folders."""

import hashlib
from pathlib import Path


def file_digest(path: Path) -> str:
    """Return a digest of a file's bytes, or of all files below a folder with their names; "" where nothing is there."""
    if path.is_dir():
        total = hashlib.sha256()
        for file in sorted(one for one in path.rglob("*") if one.is_file()):
            total.update(file.relative_to(path).as_posix().encode("utf-8", "surrogateescape") + b"\0")
            total.update(bytes.fromhex(file_digest(file)))
        return total.hexdigest()
    if not path.is_file():
        return ""
    with path.open("rb") as data:
        return hashlib.file_digest(data, "sha256").hexdigest()
