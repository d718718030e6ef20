"""The path test as a user has it: files in, an answer out; four invented paths named right for every seed."""

import dataclasses
import json
import subprocess
import sys

import numpy as np
import pytest

from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.checks.path_prints import path_prints
from spectro.cli.main import run
from spectro.colour.srgb import srgb_to_lab
from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.icc.evaluate import lab_to_device
from spectro.icc.profile_file import read_profile
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.path_test import PathSeems
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.stand_in.demo import demo_readings
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.path_pages import FOUR_PATHS, PathSetup, print_path_page
from spectro.stand_in.print_path import PrintPath
from spectro.workflow.chart.path_test import judge_path_test, judge_prints
from spectro.workflow.profile.build import profile_build

CHART = design_path_test(path_test_recipe())
M1 = MeasurementCondition.M1
NOT_TOLD = str(PathSeems.NOT_TOLD)  # no path is called raw without an earlier print or a profile
WANTED = {
    "plain": (NOT_TOLD, "cannot tell", False),
    "converted": ("converted", "clear", False),
    "fit to page": (NOT_TOLD, "cannot tell", True),
    "vivid": ("enhanced", "clear", False),
}
PAPERS = {"matte": matte_paper(), "glossy": glossy_paper()}


def prints(setups, paper, seed):
    sheets = {
        setup.name: print_path_page(setup, CHART.device, CHART.positions, paper=paper, condition=M1, seed=1000 * seed + 10 * at)
        for at, setup in enumerate(setups)
    }
    rules = {name: [length / 100 for length in sheet.rule_mm] for name, sheet in sheets.items()}
    return path_prints({name: sheet.readings for name, sheet in sheets.items()}, rules, "D50", 2)


def answers(result):
    return {found.name: (str(found.seems), str(found.sureness), found.scaled) for found in result.findings}


@pytest.mark.parametrize(("paper", "seeds"), [("matte", 100), ("glossy", 25)])
def test_four_paths_are_named_right_for_every_seed_and_order(paper, seeds):
    """Raw, converted, scaled to 97 %, vivid; every sheet printed and read with the stand-in's variation and noise."""
    for seed in range(seeds):
        order = np.random.default_rng(seed).permutation(4)
        assert answers(judge_prints(prints([FOUR_PATHS[at] for at in order], PAPERS[paper], seed))) == WANTED, seed


@pytest.mark.parametrize("paper", PAPERS)
def test_equal_paths_raise_no_alarm(paper):
    """Three sheets of one path, each printed and read anew: the same print, and nothing claimed that cannot be known."""
    for seed in range(25):
        result = judge_prints(prints([PathSetup(name=name) for name in "abc"], PAPERS[paper], seed + 300))
        assert all(len(found.alike) == 2 for found in result.findings)
        assert {found.sureness for found in result.findings} == {"cannot tell"}
        assert result.verdict.startswith("All 3 paths give the same print")


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Readings of the four paths, of a gamma path and of the demo chart, as files of an instrument."""
    folder = tmp_path_factory.mktemp("paths")
    setups = (*FOUR_PATHS, PathSetup(name="gamma", path=PrintPath.GAMMA))
    for at, setup in enumerate(setups):
        sheet = print_path_page(setup, CHART.device, CHART.positions, paper=PAPERS["matte"], condition=M1, seed=50 + 10 * at)
        (folder / f"{setup.name}.txt").write_text(pack_cgats(measurement_table(sheet.readings)), "utf-8")
    (folder / "chart.txt").write_text(pack_cgats(measurement_table(demo_readings())), "utf-8")
    return folder


def given(files, *names):
    return {name: [files / f"{name}.txt"] for name in names}


def test_an_earlier_print_or_its_profile_tells_what_the_pages_cannot(files, tmp_path):
    """Raw beside a tone curve: left open by the pages, told by an earlier chart, and by the profile made from it."""
    both = given(files, "gamma", "plain")
    assert {found.sureness for found in judge_path_test(both).findings} == {"cannot tell"}
    profile = tmp_path / "demo.icc"
    profile_build([files / "chart.txt"], profile, settings=ProfileSettings(grid=17))
    for known in ({"earlier": [files / "chart.txt"]}, {"profile": profile}):
        result = judge_path_test(both, **known)
        assert [str(found.seems) for found in result.findings] == ["other tones", "raw"]
        assert result.findings[0].from_reference > 1.6 > result.findings[1].from_reference
        alone = judge_path_test(given(files, "gamma"), **known)
        assert str(alone.findings[0].seems) == "other tones"
        assert str(judge_path_test(given(files, "plain"), **known).findings[0].seems) == "raw"
    assert "to be trusted" in judge_path_test(given(files, "converted", "vivid"), profile=profile).verdict


def test_a_real_conversion_through_a_profile_is_named(files, tmp_path):
    """Taken for sRGB and converted to the printer by its own profile, all intents: what colour management does in truth."""
    path = tmp_path / "printer.icc"
    profile_build([files / "chart.txt"], path, settings=ProfileSettings(grid=17))
    profile = read_profile(path)
    for table in ("B2A0", "B2A1"):
        sent = np.clip(lab_to_device(profile, srgb_to_lab(CHART.device), table), 0, 1)
        sheet = print_path_page(PathSetup(name="x"), sent, CHART.positions, paper=PAPERS["matte"], condition=M1, seed=7)
        managed = dataclasses.replace(sheet.readings, device=CHART.device)
        plain = print_path_page(PathSetup(name="y"), CHART.device, CHART.positions, paper=PAPERS["matte"], condition=M1, seed=9)
        result = judge_prints(path_prints({"x": managed, "y": plain.readings}, {}, "D50", 2))
        assert [str(found.seems) for found in result.findings] == ["converted", NOT_TOLD]


def test_the_command_makes_pages_and_refuses_to_overwrite(tmp_path, capsys):
    out = str(tmp_path / "test")
    assert run(["chart", "path-test", "--out", out, "--path", "plain", "my dialog", "--page", "a5", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert made["pages"] == 2
    assert {"pages.pdf", "page-01.tif", "page-02-8-bit.tif", "page-02.txt", "page-02.cxf", "chart.json"} <= set(made["files"])
    assert run(["chart", "path-test", "--out", out]) == 2
    assert "exists already" in capsys.readouterr().err
    assert run(["chart", "path-test", "--out", out, "--replace"]) == 0
    words = capsys.readouterr().out
    assert "once by every path" in words
    for caution in ("dry", "Clean", "curled", "settings"):
        assert caution in words


def test_the_command_judges_and_writes_a_report(files, tmp_path, capsys):
    """Verdict first; the report stands alone; names from files are escaped."""
    report = tmp_path / "report.html"
    words = ["chart", "path-test", "--readings"]
    words += [f"<b>plain={files / 'plain.txt'}", f"dialog={files / 'converted.txt'}", f"fit={files / 'fit to page.txt'}"]
    words += ["--rule", "<b>plain=100.1x99.9", "fit=97,0", "--report", str(report)]
    assert run(words) == 3  # a scaled page, and no path that is known to be usable
    out = capsys.readouterr().out
    assert out.startswith(
        'Which of "<b>plain" or "fit" leaves colours alone these pages cannot tell. "dialog" converts colours.'
    )
    assert "scales the page to 97.0 %" in out.splitlines()[0]
    page = report.read_text("utf-8")
    assert "<b>plain" not in page
    assert "&lt;b&gt;plain" in page
    assert "http" not in page.replace("http-equiv", "").replace("http://www.w3.org", "")
    assert run([*words, "--json"]) == 2  # the report is there already
    assert run([*words[:-2], "--json"]) == 3
    capsys.readouterr()


def test_json_holds_everything_as_plain_numbers(files, capsys):
    words = ["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", f"b={files / 'vivid.txt'}", "--json"]
    assert run(words) == 3
    numbers = json.loads(capsys.readouterr().out)
    assert [entry["seems"] for entry in numbers["findings"]] == [NOT_TOLD, "enhanced"]
    assert [entry["usable"] for entry in numbers["findings"]] == [False, False]
    assert numbers["format"] == 1
    assert len(numbers["lab"]) == 2


def test_no_usable_path_is_exit_code_3(files, capsys):
    assert run(["chart", "path-test", "--readings", str(files / "vivid.txt"), str(files / "converted.txt")]) == 3
    assert run(["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", "--rule", "a=97"]) == 3
    assert run(["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", f"b={files / 'gamma.txt'}"]) == 3
    known = ["--earlier", str(files / "chart.txt")]  # open is not safe: only a path that is known to be raw gives 0
    assert run(["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", *known]) == 0
    capsys.readouterr()


def test_readings_without_device_values_find_them_in_the_chart_folder(tmp_path):
    """Each page's ids count on, and its own list has them."""
    folder = tmp_path / "pages"
    assert run(["chart", "path-test", "--out", str(folder), "--path", "a", "b", "--page", "a5", "--quiet"]) == 0
    chart = design_path_test(path_test_recipe(["a", "b"], "a5"))
    count = len(chart) // 2
    readings = {}
    for at, setup in enumerate(FOUR_PATHS[:2]):
        here = slice(at * count, (at + 1) * count)
        sheet = print_path_page(
            setup, chart.device[here], chart.positions[here], paper=PAPERS["matte"], condition=M1, seed=90 + at
        )
        table = measurement_table(sheet.readings)
        keep = [i for i, name in enumerate(table.fields) if name == "SAMPLE_ID" or name.startswith("SPECTRAL")]
        rows = [" ".join([chart.sample_ids[at * count + i], *(row[k] for k in keep[1:])]) for i, row in enumerate(table.rows)]
        text = "CGATS.17\nFILTER M1\nBEGIN_DATA_FORMAT\n" + " ".join(table.fields[k] for k in keep)
        path = tmp_path / f"{setup.name}.txt"
        path.write_text(f"{text}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n")
        readings[setup.name] = [path]
    found = judge_path_test(readings, options=ReadingOptions(chart=folder)).findings
    assert [str(one.seems) for one in found] == [NOT_TOLD, "converted"]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "neither --out nor --readings"),
        (["--out", "x", "--rule", "a=97"], "--scale-bar together with --out"),
        (["--readings", "plain", "--page", "a4"], "--page together with --readings"),
        (["--readings", "a=plain", "b=plain"], "each file once"),
        (["--readings", "a=plain", "--rule", "b=97"], "Check the name"),
        (["--readings", "a=plain", "--rule", "a=9.7"], "about 100 mm"),
        (["--readings", "a=plain", "--rule", "a=97", "a=98"], "two lengths"),
        (["--readings", "a=missing"], "missing"),
        (["--readings", "a=plain", "--profile", "p", "--earlier", "q"], "one of them"),
        (["--readings", "a=chart"], None),
        (["--readings", "a=plain", "--chart", "folder"], "chart.json"),
    ],
)
def test_bad_input_is_told(files, words, message, capsys, tmp_path):
    """Messages say what was found and what to do; a full chart is taken as well, since it holds all that is needed."""
    (tmp_path / "folder").mkdir()
    places = {name: str(files / f"{name}.txt") for name in ("plain", "missing", "chart")} | {"folder": str(tmp_path / "folder")}
    full = [
        word.replace(word.split("=")[-1], places[word.split("=")[-1]]) if word.split("=")[-1] in places else word
        for word in words
    ]
    code = run(["chart", "path-test", *full])
    error = capsys.readouterr().err
    if message is None:
        assert code == 3  # judged, and left open
        assert not error.startswith("spectro:")
    else:
        assert code == 2
        assert message in error


@pytest.mark.parametrize("rule", ["a", "a=", "=97", "a=97x98x99", "a=long", "a=97/0"])
def test_rules_that_are_no_lengths_are_usage_errors(files, rule, capsys):
    with pytest.raises(SystemExit) as caught:
        run(["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", "--rule", rule])
    assert caught.value.code == 2
    assert "NAME=MM" in capsys.readouterr().err


def test_pages_under_two_measurement_conditions_are_refused(files, tmp_path):
    other = tmp_path / "other.txt"
    text = (files / "vivid.txt").read_text("utf-8")
    assert "M1" in text
    other.write_text(text.replace("M1", "M0"), "utf-8")
    with pytest.raises(InputError, match="several measurement conditions"):
        judge_path_test({"a": [files / "plain.txt"], "b": [other]})


def test_a_persons_own_limits_stand_over_the_shipped_ones(files, tmp_path, capsys):
    """A scale that the page allows is not allowed by a stricter file; --tolerances goes with readings."""
    own = tmp_path / "own.toml"
    own.write_text("format = 1\n[path_test]\nscaled = 0.001\n", "utf-8")
    words = ["chart", "path-test", "--readings", f"a={files / 'plain.txt'}", "--rule", "a=99.7"]
    assert run(words) == 3
    assert "size kept" in capsys.readouterr().out
    assert run([*words, "--tolerances", str(own)]) == 3
    out = capsys.readouterr().out
    assert "scaled to 99.7 %" in out
    assert "Limits of your own decide here: scaled 0.001" in out
    assert run(["chart", "path-test", "--out", str(tmp_path / "x"), "--tolerances", str(own)]) == 2
    assert "--tolerances together with --out" in capsys.readouterr().err


def test_text_and_json_load_no_plotting_library(files):
    code = (
        "import sys\nfrom spectro.cli.main import run\n"
        f"run(['chart', 'path-test', '--readings', 'a={files / 'plain.txt'}'])\nsys.exit('matplotlib' in sys.modules)\n"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, capture_output=True).returncode == 0
