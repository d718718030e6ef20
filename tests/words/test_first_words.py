"""The first words of a verdict are one of four, in every command that judges.

Those that fit a printer again, refresh, top-up and compare, are held to theirs where they run anyway: in their own tests.
"""

import re
from pathlib import Path

import pytest

from spectro.cli.main import run

FIRST = re.compile(
    r"(Do not use (it|them|the old profile)|Usable|Good|Excellent|Looks (usable|good|excellent), not printed yet)\b"
)
DATA = "demo_measurements"


def first_line(words, capsys):
    """What a command says first."""
    code = run([*words, "--quiet"])
    out = capsys.readouterr().out
    assert code in (0, 3), words
    return out.split("\n", 1)[0]


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A small profile."""
    folder = tmp_path_factory.mktemp("first")
    data = Path(__file__).parents[2] / DATA
    assert (
        run(["profile", "build", str(data / "demo-readings-m1.txt"), "--grid", "9", "--out", str(folder / "p.icc"), "--quiet"])
        == 0
    )
    return folder, data


def test_every_command_that_judges_begins_with_its_word(place, capsys):
    folder, data = place
    capsys.readouterr()
    second = str(data / "demo-second-sheet-m1.txt")
    controls = [str(data / f"demo-control-2026-{day}-m1.txt") for day in ("01-05", "02-02")]
    for words in (
        ["profile", "show", str(folder / "p.icc")],
        ["profile", "assess", str(folder / "p.icc"), second],
        ["readings", "show", second],
        ["readings", "add", second, "--out", str(folder / "kept.txt")],
        ["profile", "monochrome", str(data / "demo-greys-m1.txt")],
        ["drift", *controls],
        ["viewing", "--paper-white", "95,0,0", "--lux", "500", "--screen-luminance", "250"],
    ):
        said = first_line(words, capsys)
        assert FIRST.match(said), (words, said)
        assert len(said.split()) > 5, said  # the word alone is no verdict
