"""Help in two layers, and one name for one thing in every command."""

import argparse
import re
from collections import defaultdict

import pytest

from spectro.cli.help_layers import FIRST, GROUPS
from spectro.cli.main import COMMANDS, build_parser

MANY = 8
"""Options in one flat list at the most; ours: what can be read at one glance."""
EVERYWHERE = {"--help", "--json", "--quiet", "--verbose"}
WORDED_BY_COMMAND = {
    "--out": "what is made, a file or a folder",
    "--chart": "the chart of the readings; a sitting needs its folder",
    "--patches": "how many; a chart also takes as many as fit",
    "--from": "where it comes from: the lines of an instrument, or the profile of a picture's numbers",
    "--recipe": "whose layout is taken, a recipe or a chart",
    "--intent": "only the intents that the command can judge",
    "--answer": "watching a folder there is only one answer",
    "--profile": "a profile of this printer; its file's kind is named where nothing else will do",
}
"""Options that mean one thing and take different words for it."""
EARLIER = {
    ("profile", "build"): {"--sheet": "--sheet-difference"},
    ("profile", "monochrome"): {"--aim": "--grey-aim", "--arrives": "--grey-arrives"},
    ("viewing", ""): {"--aim": "--aim-space"},
    ("drift", ""): {"--sheet": "--sheet-difference"},
    ("readings", "take"): {"--setting": "--instrument-setting"},
    ("readings", "add"): {"--pages": "--file-pages"},
    ("readings", "show"): {"--picture": "--draw"},
    ("paper", "compare"): {"--settings": "--one-paper"},
    ("paper", "describe"): {"--backing": "--backing-readings", "--name": "--paper"},
    ("colours", ""): {"--paper": "--paper-patch"},
    ("chart", "path-test"): {"--rule": "--scale-bar"},
}


def parser_of(noun: str, verb: str) -> argparse.ArgumentParser:
    """Return the parser of one command."""
    words = [word for word in (noun, verb) if word]
    parser = build_parser(words)
    for word in words:
        choices = next(action.choices for action in parser._actions if isinstance(action.choices, dict))
        parser = choices[word]
    return parser


def options(parser: argparse.ArgumentParser) -> list[argparse.Action]:
    """Return the command's own options."""
    return [action for action in parser._actions if action.option_strings and not EVERYWHERE & set(action.option_strings)]


@pytest.mark.parametrize("command", list(COMMANDS))
def test_nobody_is_shown_a_flat_list_of_many_options(command):
    parser = parser_of(*command)
    first = [action for action in parser._action_groups[1]._group_actions if action.dest != "help"]
    assert len(first) <= MANY
    assert len(options(parser)) <= MANY or len(parser._action_groups) > 3
    text = parser.format_help()
    assert "For example:  spectro " in text or "For example: " in re.sub(r"\s+", " ", text)
    for action in options(parser):  # nothing was lost on the way into its group, and nothing stands twice
        assert len(re.findall(rf"^  {action.option_strings[0]}\b(?!-)", text, re.MULTILINE)) == 1, action.option_strings


def test_what_the_layers_name_is_there():
    everything = set()
    for command in COMMANDS:
        names = {action.option_strings[0].removeprefix("--") for action in options(parser_of(*command))}
        assert set(FIRST.get(command, "").split()) <= names, command
        everything |= names
    grouped = [name for names in GROUPS.values() for name in names.split()]
    assert set(grouped) <= everything
    assert len(grouped) == len(set(grouped))  # each in one group


def test_one_name_takes_one_kind_of_value_in_every_command():
    kinds = defaultdict(lambda: defaultdict(set))
    for command in COMMANDS:
        for action in options(parser_of(*command)):
            kind = (action.nargs == 0, str(action.metavar), tuple(action.choices or ()))
            kinds[action.option_strings[0]][kind].add(command)
    several = {name: dict(found) for name, found in kinds.items() if len(found) > 1}
    assert {name: found for name, found in several.items() if name not in WORDED_BY_COMMAND} == {}
    assert set(WORDED_BY_COMMAND) == set(several)


def test_earlier_names_are_still_taken_and_no_longer_shown():
    for command, names in EARLIER.items():
        parser = parser_of(*command)
        for old, new in names.items():
            assert parser._option_string_actions[old] is parser._option_string_actions[new]
            assert not re.search(rf"{old}\b(?!-)", parser.format_help()), (command, old)
