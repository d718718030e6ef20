"""What is read is not written over. Files are empty: nothing is computed."""

import argparse
from pathlib import Path

import pytest

from spectro.cli.main import COMMANDS, build_parser, run
from spectro.cli.overwriting import check_arguments
from spectro.errors import InputError
from spectro.files.overwriting import WRITTEN


def arguments(module="spectro.cli.profile_build", **given):
    return argparse.Namespace(module=module, replace=True, command_line=("x",), parser=None, options={}, **given)


def test_every_option_that_a_command_writes_to_is_known():
    """An option whose help says that it is written, in a command that may replace, is one of those that are checked."""
    for noun, verb in COMMANDS:
        options = {action.dest: action for action in _parser(noun, verb)._actions}
        for name, action in options.items() if "replace" in options else ():
            if action.type is Path and (action.help or "").startswith(
                ("write ", "the file to write", "the folder to make", "draw ")
            ):
                assert name in (*WRITTEN, "picture"), f"{noun} {verb}: {name}"


def _parser(noun, verb):
    found = build_parser([noun, verb])
    for word in (noun, verb) if verb else (noun,):
        found = next(action for action in found._actions if isinstance(action, argparse._SubParsersAction)).choices[word]
    return found


@pytest.mark.parametrize("given", [{"readings": ["{}"]}, {"chart": Path("{}")}, {"pairs": [("red", Path("{}"))]}])
def test_output_over_input_is_refused(tmp_path, given):
    mine = tmp_path / "mine.txt"
    mine.write_text("the only readings", encoding="utf-8")
    (tmp_path / "other.txt").write_text("", encoding="utf-8")
    (tmp_path / "link.txt").hardlink_to(mine)

    def filled(value):
        if isinstance(value, list | tuple):
            return type(value)(filled(one) for one in value)
        return Path(str(value).format(mine)) if "{}" in str(value) else value

    named = {name: filled(value) for name, value in given.items()}
    for out in (mine, tmp_path / "link.txt"):
        with pytest.raises(InputError, match="which this command reads"):
            check_arguments(arguments(out=out, **named))
    check_arguments(arguments(out=tmp_path / "other.txt", **named))
    check_arguments(arguments(out=tmp_path / "new.txt", **named))


def test_a_command_refuses_and_leaves_the_file_as_it_was(tmp_path, capsys):
    mine = tmp_path / "mine.txt"
    mine.write_text("the only readings", encoding="utf-8")
    assert run(["colours", str(mine), "--out", str(mine), "--replace"]) == 2
    assert "--out, which this command reads" in capsys.readouterr().err
    (tmp_path / "journal.jsonl").write_text("{}", encoding="utf-8")
    assert run(["readings", "take", str(tmp_path), "--export", "--out", str(tmp_path / "journal.jsonl"), "--replace"]) == 2
    assert (mine.read_text("utf-8"), (tmp_path / "journal.jsonl").read_text("utf-8")) == ("the only readings", "{}")
