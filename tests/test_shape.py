"""The shape of the code: no file that one neighbour alone uses, no function longer than a screen, no long list of options."""

import ast
from pathlib import Path

import pytest

import spectro

SOURCE = Path(spectro.__file__).parent
LEAST_LINES = 50  # of a file that only one other uses
MOST_LINES = 70  # of a function
MOST_ARGUMENTS = 9
# What may be small although one neighbour alone uses it: where something stands is told by its name there.
BY_NAME = ("cli/", "icc/tag_types/", "words/", "workflow/chart/", "workflow/paper/", "workflow/profile/", "workflow/shelf/")
DOCUMENT = "_document.py"  # one file a document, as one a command
# Arguments of a command and of what a notebook calls are its options: named, each with what holds where it is left out.
OPTIONS = ("cli/", "library/", "workflow/")


def _modules() -> dict[str, Path]:
    """Return every module of the package by its name."""
    found = {}
    for path in sorted(SOURCE.rglob("*.py")):
        parts = path.relative_to(SOURCE.parent).with_suffix("").parts
        found[".".join(part for part in parts if part != "__init__")] = path
    return found


def _imported(tree: ast.Module) -> set[str]:
    """Return the names that a module imports from or may import, modules among them."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{name.name}" for name in node.names}
        elif isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
    return found


def _functions() -> list[tuple[str, ast.FunctionDef]]:
    """Return every function with the place it stands at, `room/file.py:name`."""
    return [
        (f"{path.relative_to(SOURCE).as_posix()}:{node.name}", node)
        for path in _modules().values()
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
    ]


@pytest.mark.common_practice("no source: a file that one neighbour alone uses is read with it, so it belongs in it")
def test_no_small_file_has_a_single_user():
    """Files below 50 lines are used by two others or more, or are named after a command, a tag or a document."""
    modules = _modules()
    users = {name: _imported(ast.parse(path.read_text("utf-8"))) for name, path in modules.items()}
    found = set()
    for name, path in modules.items():
        place = path.relative_to(SOURCE).as_posix()
        lines = len(path.read_text("utf-8").splitlines())
        if path.name == "__init__.py" or lines >= LEAST_LINES or place.startswith(BY_NAME) or place.endswith(DOCUMENT):
            continue
        if sum(name in imported for imported in users.values()) == 1:
            found.add(place)
    assert sorted(found) == []  # join it with the file that uses it


@pytest.mark.common_practice("no source: what fits on a screen is read at one go")
def test_no_function_is_longer_than_a_screen():
    """No function has more than 70 lines, its docstring included."""
    assert [place for place, node in _functions() if (node.end_lineno or 0) - node.lineno + 1 > MOST_LINES] == []


@pytest.mark.common_practice("no source: more than nine arguments are a record of options")
def test_no_function_takes_more_arguments_than_people_can_tell_apart():
    """At most nine, itself not counted; the options of commands and of what a notebook calls apart."""
    found = {}
    for place, node in _functions():
        named = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
        count = len([name for name in named if name not in ("self", "cls")])
        if count > MOST_ARGUMENTS and not place.startswith(OPTIONS):
            found[place] = count
    assert found == {}
