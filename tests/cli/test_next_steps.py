"""Bare `spectro`, the line that names the next command, near misses, and the example of every command."""

import json
import shlex
import shutil
from pathlib import Path

import pytest
from link_ends_made import made_profile

from spectro.cli.examples import EXAMPLES
from spectro.cli.main import COMMANDS, run
from spectro.records.chart import ChartPurpose
from spectro.words.next_step import after_limits, after_readings, after_show
from spectro.words.start import QUESTIONS

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements"
GIVEN = {
    "second-sheet.txt": "demo-second-sheet-m1.txt",
    "january.txt": "demo-control-2026-01-05-m1.txt",
    "february.txt": "demo-control-2026-02-02-m1.txt",
    "ramps.txt": "demo-ink-ramps-m1.txt",
    "photo.png": "demo-photograph.png",
}


def words_of(line: str) -> list[str]:
    """A command line as the program gets it."""
    name, *words = shlex.split(line)
    assert name == "spectro"
    return words


def next_of(err: str) -> str:
    """The command that the last line on standard error names."""
    last = err.rstrip("\n").rpartition("\n")[2]
    assert last.startswith("Next: spectro ")
    return last.removeprefix("Next: ")


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder of one's own, with a shelf and a home beside it."""
    monkeypatch.setenv("SPECTRO_SHELF", str(tmp_path / "shelf"))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "data"))
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


def test_every_example_runs_and_names_the_next_command(place, capsys):
    for name, file in GIVEN.items():
        shutil.copy(DEMO / file, place / name)
    for name in ("coated", "uncoated"):
        (place / f"{name}.icc").write_bytes(made_profile(name))
    (place / "exports").mkdir()
    (place / "plan.toml").write_text('format = 1\n[[task]]\ndo = "build"\nname = "rag"\nreadings = "kept.txt"\n', "utf-8")
    assert set(EXAMPLES) == set(COMMANDS)
    for example in EXAMPLES.values():
        words = words_of(example)
        if words[0] in ("demo", "desk"):  # they run in tests of their own
            continue
        if words[:2] == ["readings", "watch"]:
            shutil.move("chart/sitting", "earlier")
            shutil.copy("readings.txt", "exports/page-1.txt")
        if words[:2] == ["shelf", "pack"]:
            assert run(["readings", "add", "kept.txt", "--out", "again.txt", "--on-shelf", "studio-printer"]) == 0
        assert run([*words, *(["--grid", "9"] if words[1:2] in (["build"], ["refresh"]) else [])]) == 0, example
        parsable(next_of(capsys.readouterr().err))


def parsable(line: str) -> None:
    """Refuse a next command that the command line does not know."""
    from spectro.cli.main import build_parser

    words = words_of(line)
    arguments, rest = build_parser(words).parse_known_args(words)
    assert not rest, line
    assert arguments.module


def test_the_next_line_is_absent_under_quiet_and_stands_in_json(place, capsys):
    assert run(["chart", "show", "nothing"]) == 2
    capsys.readouterr()
    assert run(["chart", "new", "--patches", "60", "--out", "a", "--quiet"]) == 0
    assert capsys.readouterr().err == ""
    assert run(["chart", "new", "--patches", "60", "--out", "b", "--json"]) == 0
    told = capsys.readouterr()
    assert told.err == ""
    assert json.loads(told.out)["next"] == "spectro readings add READINGS.txt --chart b"


def test_bare_spectro_answers_with_questions_and_commands_that_are_known(place, capsys):
    assert run([]) == 0
    told = capsys.readouterr()
    for question in QUESTIONS:
        assert question.asks in told.out
        for line in question.commands:
            assert line in told.out
            parsable(line)
    assert next_of(told.err) == "spectro demo"
    assert run(["--json"]) == 0
    assert {one["key"] for one in json.loads(capsys.readouterr().out)["questions"]} == {one.key for one in QUESTIONS}


def test_bare_spectro_says_what_is_unfinished_on_the_shelf_and_beside_it(place, capsys):
    assert run(["shelf", "new", "--printer", "P", "--paper", "Rag", "--json"]) == 0
    name = json.loads(capsys.readouterr().out)["name"]
    assert run([]) == 0
    told = capsys.readouterr()
    assert f"{name}: no chart read yet" in told.out
    assert next_of(told.err) == f"spectro chart new --on-shelf {name}"
    assert run(["chart", "new", "--patches", "60", "--out", "chart", "--quiet"]) == 0
    lines = place / "lines.txt"
    lines.write_text("instrument one\ncondition M1\nwavelengths 400 700 10\n")
    assert run(["readings", "take", "chart", "--from", "lines.txt", "--stop-after", "0.05", "--quiet"]) == 3
    capsys.readouterr()
    assert run([]) == 0
    told = capsys.readouterr()
    assert "chart: 0 of 60 patches are read" in told.out
    assert next_of(told.err) == "spectro readings take chart --from SOURCE"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("build kept.txt", "Did you mean: spectro profile build?"),
        ("proof", "Did you mean: spectro profile proof-page?"),
        ("profle build x", "Did you mean: spectro profile build?"),
        ("readings tak x", "Did you mean: spectro readings take?"),
        ("profile take x", "Did you mean: spectro readings take?"),
        ("measure", "Did you mean: spectro readings take?"),
        ("monitor", "Did you mean: spectro viewing?"),
        ("xyzzy", "Type spectro alone"),
        ("profile", "profile needs one of build, assess"),
        ("profile build", "READINGS is missing"),
        ("profile build x --prnter y", "Did you mean --printer"),
        ("profile build x --observer 5", "--observer 5 is none of 2, 10"),
        ("chart new a b", "b is one argument too many"),
        ("chart new --patches", "--patches: needs a value"),
        ("chart new --patches many", "'many' is no number"),
    ],
)
def test_what_cannot_be_understood_gets_one_sentence_and_help(line, said, capsys):
    with pytest.raises(SystemExit) as stop:
        run(line.split())
    assert stop.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert said in told.err
    assert "usage:" not in told.err


def test_a_press_is_set_up_stage_by_stage_by_the_next_lines_alone():
    """Pages printed through limits and curves are read for the total, and the chart for the profile comes after it."""
    ramps, inks = ["ramps.txt"], ("cyan", "magenta", "yellow", "black")
    first = after_readings(ramps, ChartPurpose.SET_UP)
    assert first == "spectro inks limits ramps.txt --out limits.toml"
    curves = after_limits(ramps, inks, out="limits.toml", curved=False)
    assert curves.startswith("spectro inks curves ramps.txt --stages limits.toml ")
    total = after_readings(ramps, ChartPurpose.SET_UP, through=True)
    assert total == "spectro inks limits ramps.txt --stages STAGES.toml --on limits curves --out total.toml"
    chart = after_limits(ramps, inks, out="total.toml", curved=True)
    assert chart == "spectro chart new --channels CMYK --stages total.toml --out chart"
    built = after_readings(["kept.txt"], ChartPurpose.INKS, through=True)
    assert built == "spectro profile build kept.txt --stages STAGES.toml"
    for line in (first, curves, total, chart, built):
        parsable(line)


def test_what_comes_after_a_profile_was_looked_at_fits_what_it_is_of():
    following = {
        ("output", "RGB"): "profile proof-page",
        ("output", "CMYK"): "profile proof-page",
        ("output", "GRAY"): "image convert",
        ("device link", "CMYK"): "image convert",
    }
    for (of, space), words in following.items():
        line = after_show("p.icc", of, space)
        assert line.startswith(f"spectro {words} ")
        parsable(line)
    assert after_show("p.icc", "display", "RGB") == ""
