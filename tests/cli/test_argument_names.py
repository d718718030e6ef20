"""Texts below the command line name arguments, not options; the command line alone turns one into the other."""

import argparse
import ast
import inspect
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import spectro
from spectro.cli.argument_names import REPAIRS, named_as_options, options_of, with_options
from spectro.cli.main import COMMANDS, build_parser, run

DEMO = str(Path(__file__).parents[2] / "demo_measurements" / "demo-readings-m1.txt")
SOURCE = Path(spectro.__file__).parent
OPTION = re.compile(r"(?<![\w-])--[a-z…]")
NAMED = re.compile(r"`([a-z][a-z0-9_]*)`")
# A whole command to copy may hold options: from `spectro` and a command's name to the end of the sentence.
COMMAND = re.compile(rf"\bspectro (?:{'|'.join(sorted({noun for noun, _ in COMMANDS}))})\b(?:[^.;`]|\.(?=\w))*")
# Texts that may hold an option although they are no command to copy. This list only shrinks.
EXEMPT = {
    "report/style.py": "names of colours in a style sheet begin with two hyphens",
    "words/next_step.py": "puts whole commands together from their parts",
    "words/start.py": "whole commands, in parts where a line is long",
    "workflow/start.py": "the command that a sitting goes on with, put together from its parts",
}
# Names in backticks that are no argument: what a person writes into a file or sends to a sitting. This list only shrinks.
OTHER_NAMES = {"white": "a line that a source sends to a sitting", "table": "an argument of the answers' to_frame"}


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Yield line and text of every string of a file, with a mark in place of what an f-string puts in.

    A string that is a statement, a docstring, comes with line 0.
    """
    within: set[int] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.JoinedStr):
            within |= {id(part) for part in node.values}
            yield node.lineno, "".join(part.value if isinstance(part, ast.Constant) else "…" for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in within:
            yield node.lineno, node.value
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            within.add(id(node.value))
            yield 0, node.value.value


def below() -> Iterator[tuple[str, int, str]]:
    """Yield file, line and text of every string below the command line."""
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        if not name.startswith(("cli/", "desk/")):  # the two that speak to a person at a terminal or in a browser
            for line, text in texts(path):
                yield name, line, text


def command_parser(noun: str, verb: str) -> argparse.ArgumentParser:
    """Return the parser of one command."""
    parser = build_parser([noun, verb] if verb else [noun])
    for word in filter(None, (noun, verb)):
        choices = next(action.choices for action in parser._actions if isinstance(action.choices, dict))
        parser = choices[word]
    return parser


@pytest.mark.common_practice("no source: a caller in a notebook has no options, so a text that names one is of no use there")
def test_no_text_below_the_command_line_names_an_option():
    """Only whole commands to copy hold options; the exemptions are needed."""
    found = [(name, line, text) for name, line, text in below() if OPTION.search(COMMAND.sub("", text))]
    assert [one for one in found if one[0] not in EXEMPT] == []
    assert {name for name, _, _ in found} == set(EXEMPT)


@pytest.mark.common_practice("no source: a name that is no argument would stay in backticks on the command line")
def test_names_in_backticks_of_errors_are_arguments():
    """What stands alone in backticks in a text with a fix is an argument of a command or of a function of the library."""
    known = {name for noun, verb in COMMANDS for name in options_of(command_parser(noun, verb))}
    for name in spectro.__all__:
        function = getattr(spectro, name)
        known |= set(inspect.signature(function).parameters) if callable(function) else set()
    verbs = re.compile(r"(?:Give|Correct|Choose|Add|Leave|Name|Check|Mend|Shorten|with|or) $")
    named = [
        (file, found[1])
        for file, line, text in below()
        for found in NAMED.finditer(text)
        if line and verbs.search(text[: found.start()])
    ]
    assert len(named) > 100
    assert [one for one in named if one[1] not in known and one[1] not in OTHER_NAMES] == []


def test_a_placed_argument_is_named_as_in_the_help():
    """An option by its long form, an argument with a place by the word of the help."""
    options = options_of(command_parser("readings", "take"))
    assert options["source"] == "--from"
    assert options["chart"] == "CHART_FOLDER"
    assert with_options("Give `chart`, not `source` -; see `condition M1`.", options) == (
        "Give CHART_FOLDER, not --from -; see `condition M1`."
    )
    assert named_as_options({"`chart`": ["`source`", 1, None, ("`chart`",)]}, options) == {
        "`chart`": ["--from", 1, None, ["CHART_FOLDER"]]
    }


def test_errors_and_results_name_options_on_the_command_line(tmp_path, capsys):
    """The same error names the argument to a caller and the option on the command line; so does a result in JSON."""
    from spectro.records.profile_settings import ProfileSettings

    with pytest.raises(spectro.errors.InputError, match=r"another `grid`; 33"):
        ProfileSettings(grid=3)
    assert run(["profile", "build", DEMO, "--grid", "3", "--out", str(tmp_path / "x.icc")]) == 2
    assert "Choose another --grid; 33 is usual." in capsys.readouterr().err
    assert run(["readings", "add", DEMO, "--out", str(tmp_path / "x.txt"), "--json"]) in (0, 3)
    said = json.loads(capsys.readouterr().out)
    assert any("--predict-with" in caution for caution in said["cautions"])
    assert not any("`predict_with`" in caution for caution in said["cautions"])


def test_every_repair_is_an_option_of_the_command_it_is_said_to_be():
    parser = command_parser("readings", "add")
    assert {f"--{name.replace('_', '-')}" for name in REPAIRS} <= set(options_of(parser).values())
