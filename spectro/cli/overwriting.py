"""What a command writes must not be what it reads: `--replace` is for files of earlier runs, not for the only readings."""

import argparse
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from spectro.errors import InputError

WRITTEN = ("out", "report", "pdf", "curve", "white_field", "settings_sheet", "renders", "chart_out")
"""Options, by the names they are stored under, whose file or folder is written by every command that has them."""
_OWN = ("module", "parser", "options", "command_line")
_HELD = ("chart.json", "journal.jsonl")  # what a folder is known by; nothing else is ever written under these names


def check_overwriting(arguments: argparse.Namespace) -> None:
    """Raise InputError where a file or folder that is to be written is one that is read."""
    if not getattr(arguments, "replace", False):
        return  # then nothing that is there is written over
    named = vars(arguments)
    written = (*WRITTEN, "picture") if arguments.module.endswith(".readings_show") else WRITTEN
    read = [path for name, value in named.items() if name not in (*written, *_OWN) for path in _paths(value)]
    for name in written:
        for path in _paths(named.get(name)):
            if path.is_file() and (path.name in _HELD or any(_same(path, other) for other in read)):
                raise InputError(f"{path} in `{name}`, which this command reads", "another name", "Choose one.")
            if path.is_dir() and any(_same(path, other) for other in read):
                raise InputError(f"{path} in `{name}`, which this command reads", "another folder", "Choose one.")


def _paths(value: object) -> Iterator[Path]:
    """Return all that may name a file in an argument: a path, a text, or any number of them."""
    if isinstance(value, Path):
        yield value
    elif isinstance(value, str):
        yield Path(value)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _paths(one)


def _same(path: Path, other: Path) -> bool:
    with suppress(OSError, ValueError):
        return path.samefile(other)
    return False
