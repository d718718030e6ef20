"""Plans of work on many printing conditions: TOML with `format = 1` and a `[[task]]` table for each task.

    format = 1

    [[task]]
    do = "build"
    name = "matte, spring"
    readings = ["matte-readings.txt"]
    paper = "matte"

A task's other keys are the options of the command it stands for, under their own names.
"""

import re
import tomllib
from pathlib import Path
from typing import Any

from spectro.errors import InputError
from spectro.files.text_lines import read_bytes
from spectro.files.toml_lines import line_of_key, toml_error
from spectro.records.batch import Mistake, PlannedTask

KINDS = ("build", "assess", "compare", "drift", "convert")
_MAX_BYTES = 64 * 1024 * 1024
_TASK = re.compile(r"\s*\[\[\s*(?:task|\"task\"|'task')\s*\]\]")
_KEY = re.compile(r"\s*(?:\"([^\"]+)\"|'([^']+)'|([A-Za-z0-9_-]+))\s*(?:=|\.)")


def read_plan(path: Path) -> tuple[tuple[PlannedTask, ...], tuple[Mistake, ...]]:
    """Return the tasks of a plan and every mistake of its form; what the options mean is not looked at.

    Raises InputError where it is no TOML at all.
    """
    try:
        text = read_bytes(path, max_bytes=_MAX_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: bytes that are no UTF-8 text", "a plan in TOML", "Save it as UTF-8.") from error
    return parse_plan(text)


def parse_plan(text: str) -> tuple[tuple[PlannedTask, ...], tuple[Mistake, ...]]:
    """Return the tasks of a plan's text and every mistake of its form, each with its line.

    >>> tasks, mistakes = parse_plan('format = 1\\n[[task]]\\ndo = "build"\\nname = "a"\\nreadings = "a.txt"\\n')
    >>> tasks[0].name, tasks[0].line_of("readings"), mistakes
    ('a', 5, ())
    >>> [(one.line, one.text) for one in parse_plan('[[task]]\\ndo = "bild"')[1]]
    [(1, 'a task without a name'), (1, 'no `format = 1`'), (2, "do = 'bild' is none of build, assess, compare, drift, convert")]
    """
    text = text.replace("\r\n", "\n")
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line, words = toml_error(str(error), text)
        return (), (Mistake(line=line, text=words),)
    mistakes = []
    if content.pop("format", None) != 1:
        mistakes.append(Mistake(line=1, text="no `format = 1`"))
    tables = content.pop("task", [])
    mistakes += [Mistake(line=line_of_key(text, key), text=f"unknown key {key!r} above the tasks") for key in content]
    if not isinstance(tables, list) or not tables:
        return (), (*mistakes, Mistake(line=1, text="no [[task]]"))
    places = _places(text)
    tasks = []
    for number, table in enumerate(tables):
        line, lines = places[number] if len(places) == len(tables) else (line_of_key(text, "task"), {})
        if isinstance(table, dict):
            tasks.append(_task(table, line, lines, mistakes))
        else:
            mistakes.append(Mistake(line=line, text="a task that is no table"))
    mistakes += _same_names(tasks)
    return tuple(tasks), tuple(sorted(mistakes))


def _task(table: dict[str, Any], line: int, lines: dict[str, int], mistakes: list[Mistake]) -> PlannedTask:
    options = {key: value for key, value in table.items() if key not in ("name", "do")}
    name, do = table.get("name", ""), table.get("do", "")
    if not isinstance(name, str) or not name.strip():
        mistakes.append(Mistake(line=lines.get("name", line), text="a task without a name"))
        name = ""
    if do not in KINDS:
        found = f"do = {do!r} is none of" if "do" in table else "no `do`; it is one of"
        mistakes.append(Mistake(line=lines.get("do", line), text=f"{found} {', '.join(KINDS)}"))
        do = ""
    return PlannedTask(name=name.strip(), do=do, options=options, line=line, lines=lines)


def _same_names(tasks: list[PlannedTask]) -> list[Mistake]:
    first: dict[str, PlannedTask] = {}
    found = []
    for task in tasks:
        before = first.setdefault(task.name.casefold(), task)
        if before is not task and task.name:
            found.append(
                Mistake(line=task.line_of("name"), text=f"the name {task.name!r} is that of the task in line {before.line}")
            )
    return found


def _places(text: str) -> list[tuple[int, dict[str, int]]]:
    """Return the line of each [[task]] and of the keys that follow it."""
    found: list[tuple[int, dict[str, int]]] = []
    for number, line in enumerate(text.splitlines(), 1):
        if _TASK.match(line):
            found.append((number, {}))
        elif found and (key := _KEY.match(line)):
            found[-1][1].setdefault(key[1] or key[2] or key[3], number)
    return found
