"""What a task's result rests on, as digests: its files, its command line, and the program itself."""

import functools
import hashlib
import json
import os
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from spectro.files.digests import file_digest
from spectro.files.storage import storage_folder
from spectro.records.batch import Prepared

_ENDS = "/\\"
_PROGRAM = (".py", ".toml", ".csv", ".js", ".css", ".html", ".json", ".txt")


@functools.cache
def program_digest() -> str:
    """Return a digest of everything the program consists of: another version, or an edited file, makes another digest."""
    total = hashlib.sha256()
    _add_tree(total, resources.files("spectro"), "")
    return total.hexdigest()[:32]


def task_key(prepared: Prepared, out: Path, shelf: str) -> str:
    """Return a digest of all that a task's result rests on; the same key means the same result.

    out: the folder of the results, which may move, as the folder of copies of what lies at addresses may. shelf: digest of the
    shelf where the task works from it, else "".
    """
    places = [f"{str(place).rstrip(_ENDS)}{os.sep}" for place in (out, storage_folder())]
    words = [functools.reduce(lambda text, place: text.replace(place, ""), places, word) for word in prepared.words]
    whole = json.dumps([program_digest(), words, [file_digest(Path(path)) for path in prepared.reads], shelf])
    return hashlib.sha256(whole.encode("utf-8", "surrogateescape")).hexdigest()


def within(text: str, out: Path) -> str:
    """Return a path that lies in the folder of results as relative to it, every other text as it is.

    >>> within("/results/a.icc", Path("/results")), within("a.txt", Path("/results"))
    ('a.icc', 'a.txt')
    """
    head = str(out).rstrip(_ENDS)
    return text[len(head) + 1 :] if text.startswith(head) and text[len(head) : len(head) + 1] in ("/", "\\") else text


def _add_tree(total: "hashlib._Hash", folder: Traversable, place: str) -> None:
    for item in sorted(folder.iterdir(), key=lambda one: one.name):
        name = f"{place}/{item.name}"
        if item.is_dir():
            if item.name != "__pycache__":
                _add_tree(total, item, name)
        elif item.name.endswith(_PROGRAM):
            total.update(name.encode() + b"\0" + hashlib.sha256(item.read_bytes()).digest())
