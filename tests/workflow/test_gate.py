"""The gate in the commands: what breaks the laws of prints becomes no profile and no verdict unless a person insists."""

import json
from pathlib import Path

import pytest

from spectro.cli.main import run
from spectro.files.cgats import pack_cgats
from spectro.icc.profile_file import read_profile
from spectro.profile.evidence import INSISTED_KEYWORD, entry_text
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table

ROOT = Path(__file__).resolve().parent.parent.parent
SECOND = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"


@pytest.fixture(scope="module")
def inverted(tmp_path_factory):
    """Readings whose device values count the other way, as a file."""
    from dataclasses import replace

    right = load_readings([SECOND])
    file = tmp_path_factory.mktemp("gate") / "inverted.txt"
    file.write_bytes(pack_cgats(measurement_table(replace(right, device=1 - right.device))).encode("utf-8"))
    return file


@pytest.mark.parametrize("command", ["build", "top-up", "refresh", "assess"])
def test_readings_that_break_laws_are_refused_with_their_cause(command, inverted, tmp_path, capsys):
    out = tmp_path / "made"
    words = {
        "build": ["profile", "build", str(inverted), "--out", str(out)],
        "top-up": ["profile", "top-up", str(inverted), "--out", str(out)],
        "refresh": ["profile", "refresh", str(SECOND), str(inverted), "--out", str(out)],
        "assess": ["profile", "assess", str(tmp_path / "right.icc"), str(inverted), "--report", str(out)],
    }[command]
    if command == "assess":
        assert run(["profile", "build", str(SECOND), "--out", str(tmp_path / "right.icc"), "--grid", "9", "--quiet"]) == 0
    capsys.readouterr()
    assert run([*words, "--json", "--quiet"]) == 3
    said = capsys.readouterr()
    assert not out.exists()
    numbers = json.loads(said.out)
    assert numbers["verdict"].startswith("Do not use inverted.txt: ")
    assert "the device values count the other way" in numbers["verdict"]
    assert {one["cause"] for one in numbers["gate"]} == {"the device values count the other way"}
    assert all(one["insisted"] == "" for one in numbers["gate"])
    assert set(numbers["gate"][0]) == {"finding", "patches", "cause", "insisted"}
    assert "--insist REASON" in said.err
    assert "Traceback" not in said.err


def test_a_person_may_insist_and_the_reason_goes_into_the_profile(inverted, tmp_path, capsys):
    out = tmp_path / "made.icc"
    words = ["profile", "build", str(inverted), "--out", str(out), "--grid", "9", "--json", "--quiet"]
    assert run([*words, "--insist", "a negative is printed"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["verdict"].startswith("Used although ")
    assert "since you insist: a negative is printed." in numbers["verdict"]
    assert {one["insisted"] for one in numbers["gate"]} == {"a negative is printed"}
    assert entry_text(read_profile(out), INSISTED_KEYWORD).startswith("a negative is printed; found: ")


def test_right_readings_pass_without_a_word(tmp_path, capsys):
    out = tmp_path / "made.icc"
    assert run(["profile", "build", str(SECOND), "--out", str(out), "--grid", "9", "--json", "--quiet"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["gate"] == []
    assert numbers["verdict"].startswith("Built from ")
    assert entry_text(read_profile(out), INSISTED_KEYWORD) == ""


def test_blank_reasons_are_none(inverted, tmp_path):
    assert run(["profile", "build", str(inverted), "--out", str(tmp_path / "x.icc"), "--insist", "  ", "--quiet"]) == 3
