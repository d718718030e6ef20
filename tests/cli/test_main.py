"""The command line: exit codes, messages, JSON, and that nothing heavy is loaded to show help."""

import argparse
import json
import subprocess
import sys
from pathlib import Path

import pytest

from spectro.cli.main import COMMANDS, build_parser, run

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "demo_measurements" / "demo-readings-m1.txt")
SECOND = str(ROOT / "demo_measurements" / "demo-second-sheet-m1.txt")


def only_json(text: str) -> dict:
    """Parse text as one JSON object; NaN and infinities are refused."""

    def refuse(constant: str) -> None:
        raise ValueError(constant)

    return json.loads(text, parse_constant=refuse)


def test_build_and_assess_keep_the_contract(tmp_path, capsys):
    out = str(tmp_path / "demo.icc")
    assert run(["profile", "build", DEMO, "--out", out, "--grid", "17", "--json"]) == 0
    captured = capsys.readouterr()
    built = only_json(captured.out)
    assert captured.err == ""
    assert built["profile"] == out
    lattice = built["lattice"]  # the stand-in reads no table
    assert (lattice["nodes"], lattice["levels"]) == (None, None)
    assert lattice["gain"] < 0
    assert built["patches"] == 459
    assert built["measurement_condition"] == "M1"
    assert set(built["cross_validation"]) >= {"mean", "p95", "max", "method"}
    assert set(built["round_trip"]) >= {"mean", "p95", "p99", "max", "n"}
    assert built["round_trip"]["n"] == 20000
    assert built["seconds"] > 0
    report = tmp_path / "report.html"
    assert run(["profile", "assess", out, SECOND, "--report", str(report), "--json"]) == 0
    assessed = only_json(capsys.readouterr().out)
    assert set(assessed["delta_e_2000"]) >= {"mean", "median", "p95", "max", "n"}
    assert len(assessed["worst"]) == 10
    assert set(assessed["worst"][0]) >= {"id", "device", "measured_lab", "profile_lab", "delta_e_2000"}
    assert report.read_text("utf-8").startswith("<!")
    assert run(["profile", "assess", out, SECOND, "--report", str(report)]) == 2
    assert "exists already" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["profile", "build", "absent.txt", "--out", "x.icc"], "absent.txt"),
        (["profile", "build", DEMO, "--out", "x.icc", "--measurement-condition", "M2"], "M1"),
        (["profile", "build", DEMO, "--out", "x.icc", "--illuminant", "moon"], "moon"),
        (["profile", "build", DEMO, "--out", "x.icc", "--grid", "5"], "--grid"),
        (["profile", "build", DEMO, "--out", "absent/x.icc"], "no folder"),
        (["profile", "build", DEMO, "--out", "x.icc", "--device-scale", "100"], "--device-scale"),
        (["profile", "assess", DEMO, SECOND], "ICC profile"),
        (["profile", "assess", "absent.icc", SECOND], "absent.icc"),
    ],
)
def test_bad_input_ends_with_two_and_one_message(words, part, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(words) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith("spectro: ")
    assert captured.err.count("\n") == 1
    assert part in captured.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ["nonsense"],
        ["profile"],
        ["profile", "build"],
        ["profile", "build", DEMO, "--observer", "5"],
        ["profile", "build", DEMO, "--date", "soon"],
    ],
)
def test_bad_usage_ends_with_two(words, capsys):
    with pytest.raises(SystemExit) as stop:
        run(words)
    assert stop.value.code == 2
    told = capsys.readouterr().err
    assert told.startswith("spectro: ")
    assert "For example: spectro" in told or "Type spectro alone" in told
    assert told.count("\n") == 1


def test_without_out_the_profile_is_named_and_never_replaced(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    words = ["profile", "build", DEMO, "--grid", "9", "--printer", "Printer", "--paper", "Rag 310", "--quiet"]
    assert run(words) == 0
    assert [path.name for path in tmp_path.iterdir()] == ["printer-rag-310-2026-01-01.icc"]
    assert run(words) == 2
    assert run([*words, "--replace"]) == 0
    assert "Printer - Rag 310 - 2026-01-01" in capsys.readouterr().out


@pytest.mark.parametrize("command", list(COMMANDS))
def test_help_loads_nothing_heavy(command):
    code = (
        "import sys; from spectro.cli.main import run\n"
        f"words = {[word for word in command if word]!r}\n"
        "try:\n    run([*words, '--help'])\nexcept SystemExit as stop:\n    assert stop.code == 0\n"
        "heavy = {'numpy', 'scipy', 'rich', 'matplotlib', 'reportlab', 'msgspec'} & set(sys.modules)\n"
        "sys.exit(f'loaded {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "usage: spectro" in done.stdout


def test_version_and_import_are_light():
    code = "import spectro, sys; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
    version = subprocess.run([sys.executable, "-m", "spectro", "--version"], capture_output=True, text=True, check=False)
    assert version.stdout.strip() == "spectro 0.1.0"


def test_demo_runs_the_whole_way(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["demo", "--json"]) == 0
    found = only_json(capsys.readouterr().out)
    assert "invented" in found["note"]
    assert "not yet proven in print" in found["verdict"]
    for name in ("report", "profile", "chart"):
        assert Path(found[name]).exists()
    assert run(["demo"]) == 0
    assert Path("spectro-demo-2").is_dir()
    assert run(["demo", "--out", "spectro-demo"]) == 2


def test_an_interrupt_ends_with_130(monkeypatch, capsys):
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("spectro.workflow.steps.chart_readings.load_readings", interrupted)
    assert run(["profile", "build", DEMO, "--out", "never.icc"]) == 130
    assert "interrupted" in capsys.readouterr().err


def _own_options(noun: str, verb: str) -> list[argparse.Action]:
    parser = build_parser([noun, verb] if verb else [noun])
    for word in (noun, verb) if verb else (noun,):
        parser = next(action for action in parser._actions if isinstance(action, argparse._SubParsersAction)).choices[word]
    return [action for action in parser._actions if action.option_strings]


@pytest.mark.parametrize(("noun", "verb"), COMMANDS)
def test_an_option_that_takes_several_values_may_be_given_again(noun, verb):
    """The first values are not lost in silence."""
    for action in _own_options(noun, verb):
        if action.nargs == "+":
            assert isinstance(action, argparse._ExtendAction), action.option_strings
