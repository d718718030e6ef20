"""What is written must not be what is read: `replace` is for files of earlier runs, not for the only readings."""

import dataclasses
import functools
import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from spectro.errors import InputError
from spectro.records.chart_origin import CHART_FILE, CHART_TABLE

WRITTEN = (
    "out",
    "report",
    "pdf",
    "curve",
    "white_field",
    "settings_sheet",
    "renders",
    "chart_out",
    "label",
    "common_gamut",
    "csv",
    "xml",
)
"""Arguments whose file or folder is written by every command that has them."""
_HELD = (CHART_FILE, "journal.jsonl")  # what a folder is known by; nothing else is ever written under these names

Given = ParamSpec("Given")
Result = TypeVar("Result")


def keeps_what_it_reads(*more: str) -> Callable[[Callable[Given, Result]], Callable[Given, Result]]:
    """Let a function with an argument `replace` refuse to write over what its other arguments name.

    more: arguments that are written, beside `WRITTEN`. The function then raises InputError before anything is done.
    """

    def kept(function: Callable[Given, Result]) -> Callable[Given, Result]:
        signature = inspect.signature(function)

        @functools.wraps(function)
        def call(*args: Given.args, **kwargs: Given.kwargs) -> Result:
            with suppress(TypeError):  # the call itself tells of arguments that do not fit
                check_overwriting(signature.bind(*args, **kwargs).arguments, (*WRITTEN, *more))
            return function(*args, **kwargs)

        call.__dict__["written"] = (*WRITTEN, *more)
        return call

    return kept


def check_overwriting(named: Mapping[str, Any], written: Iterable[str]) -> None:
    """Raise InputError where a file or folder that is to be written is one that is read.

    named: arguments by name, with `replace`; without it nothing that is there is written over. written: those that are.
    """
    if not any(value for name, value in named.items() if name.startswith("replace")):
        return
    outputs = set(written)
    read = [path for name, value in named.items() if name not in outputs for path in paths_in(value)]
    for name in outputs:
        for path in paths_in(named.get(name)):
            check_not_read(path, read, name)


def check_not_read(path: Path, read: Iterable[Path], argument: str) -> None:
    """Raise InputError where a path that is written over is one of those read, or what a chart or sitting is known by.

    argument: that which names it.
    """
    if path.is_file() and (path.name in _HELD or _is_chart_table(path) or any(_same(path, other) for other in read)):
        raise InputError(f"{path} in `{argument}`, which this command reads", "another name", "Choose one.")
    if path.is_dir() and any(_same(path, other) for other in read):
        raise InputError(f"{path} in `{argument}`, which this command reads", "another folder", "Choose one.")


def paths_in(value: object) -> Iterator[Path]:
    """Return all that may name a file in an argument: a path, a text, any number of them, or a record that holds them."""
    if isinstance(value, Path):
        yield value
    elif isinstance(value, str):
        yield Path(value)
    elif isinstance(value, Mapping):
        yield from paths_in(list(value.values()))
    elif isinstance(value, list | tuple):
        for one in value:
            yield from paths_in(one)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from paths_in(getattr(value, field.name))


def _is_chart_table(path: Path) -> bool:
    return path.name == CHART_TABLE and (path.parent / CHART_FILE).is_file()


def _same(path: Path, other: Path) -> bool:
    with suppress(OSError, ValueError):
        return path.samefile(other)
    return False
