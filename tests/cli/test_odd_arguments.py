"""Odd arguments to every option of every command: an answer or a message, never a traceback, and no waiting for a pipe.

What is tried: numbers that are none, too large or below zero, empty texts, letters that steer a terminal, files that are
folders, pipes, devices, empty or of bytes. Some commands have the rest of their line as a person would type it; others stop
at what is missing, before or behind the odd one. Commands run in this process.
"""

import argparse
import os
from pathlib import Path

import pytest

from spectro.cli.main import COMMANDS, build_parser, run

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
SECOND, GREYS = DEMO / "demo-second-sheet-m1.txt", DEMO / "demo-greys-m1.txt"
ODD_NUMBERS = ("nan", "inf", "-1", "0", "1e308", "", "x", "1,5")
ODD_TEXTS = ("", " ", "\x1b[31m", "a" * 300)
ODD_FILES = ("missing.txt", "folder", "pipe", "/dev/null", "empty", "bytes", "", "name\udc80.txt")
USUAL = {
    ("chart", "new"): ["rgb-a4-strip", "--patches", "24", "--out", "made"],
    ("colours", ""): [SECOND],
    ("drift", ""): [DEMO / "demo-control-2026-01-05-m1.txt", DEMO / "demo-control-2026-02-02-m1.txt"],
    ("image", "test-picture"): ["--pixels-per-inch", "100"],
    ("profile", "monochrome"): [GREYS],
    ("readings", "show"): [SECOND],
}
"""The rest of a command's line, where it is soon done."""
SERVES = ("desk", "start", "demo")  # wait for somebody, or do the whole way whatever else is said


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with odd things in it."""
    folder = tmp_path_factory.mktemp("odd")
    (folder / "folder").mkdir()
    os.mkfifo(folder / "pipe")
    (folder / "empty").write_bytes(b"")
    (folder / "bytes").write_bytes(bytes(range(256)) * 4)
    return folder


def tried(noun, verb):
    """Each option of a command with some of the odd values that fit its kind, others for each option."""
    parser = build_parser([noun, verb])
    for word in (noun, verb) if verb else (noun,):
        parser = next(one for one in parser._actions if isinstance(one, argparse._SubParsersAction)).choices[word]
    options = [one for one in parser._actions if one.option_strings and one.nargs != 0 and one.dest not in ("help", "shelf")]
    for number, action in enumerate(options):
        odd = ODD_FILES if action.type is Path else ODD_TEXTS if action.type is None else ODD_NUMBERS
        few = 2 if (noun, verb) in USUAL else len(odd)
        for value in [odd[(number + turn) % len(odd)] for turn in range(few)]:
            yield action.option_strings[-1], value


@pytest.mark.parametrize(("noun", "verb"), [one for one in COMMANDS if one[0] not in SERVES], ids=lambda one: one or "-")
def test_odd_arguments_end_in_an_answer_or_a_message(noun, verb, place, monkeypatch, capsys):
    monkeypatch.chdir(place)
    monkeypatch.setenv("SPECTRO_SHELF", str(place / "shelf"))
    count = 0
    for option, value in tried(noun, verb):
        line = [noun, *([verb] if verb else []), *map(str, USUAL.get((noun, verb), [])), option, value, "--quiet"]
        try:
            code = run(line)
        except SystemExit as stop:  # argparse tells of its own mistakes
            code = stop.code
        said = capsys.readouterr()
        assert code in (0, 2, 3), (line, code)
        assert code == 0 or said.err.strip() or said.out.strip(), line
        assert "Traceback" not in said.err
        assert "\x1b[31m" not in said.err + said.out, line  # what steers a terminal is shown, not sent
        count += 1
    assert count or not list(tried(noun, verb))
