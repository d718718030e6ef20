"""Prints against aims: published statistics, right verdicts on both sides of a limit, and what may not be mixed."""

import importlib.util
import json
from pathlib import Path

import numpy as np
import pytest

from spectro.cli.main import run
from spectro.errors import InputError
from spectro.records.aim import PrintKind
from spectro.workflow.aim.check import aim_check, read_aim

ROOT = Path(__file__).resolve().parents[2]
CONTROL = [str(ROOT / "demo_measurements" / f"demo-control-{day}-m1.txt") for day in ("2026-01-05", "2026-02-02", "2026-03-02")]


@pytest.fixture(scope="module")
def campaign():
    """The benchmark's own print maker and figures."""
    spec = importlib.util.spec_from_file_location("aim_verdicts", ROOT / "benchmarks" / "aim_verdicts.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def published(check_data):
    """The published set of the check data."""
    return check_data / "offset-coated-fogra51" / "fogra51-published.txt"


@pytest.mark.source("Colour-check-values", "statistics of one published set against another: 1.545/2.969/6.140, 1.389/5.699")
def test_published_sets_against_each_other(check_data, published):
    found = aim_check([published], check_data / "characterization" / "fogra39.txt").differences
    assert (found.mean, found.p95, found.max) == pytest.approx((1.545, 2.969, 6.140), abs=0.005)
    found = aim_check([published], check_data / "characterization" / "crpc6.txt").differences
    assert (found.mean, found.max) == pytest.approx((1.389, 5.699), abs=0.005)
    for name in ("fogra52", "crpc1", "ifra26"):
        assert len(read_aim(check_data / "characterization" / f"{name}.txt").device) > 900


@pytest.mark.source("FOGRA51", "its published colours as aim; figures once more by a general colour-science library")
def test_verdicts_on_both_sides_of_each_limit(campaign, published):
    assert campaign.campaign(published, 6) == dict.fromkeys(PrintKind, (6, 6))


@pytest.mark.source("FOGRA51", "its published colours as aim; figures once more by a general colour-science library")
def test_every_figure_is_that_of_another_reckoning(campaign, published, tmp_path):
    aim = read_aim(published)
    rows = campaign.strip(aim)
    printed = aim.lab[rows] + np.random.default_rng(2).normal(scale=1.5, size=(len(rows), 3))
    campaign.write(tmp_path / "print.txt", aim.device[rows], printed)
    found = aim_check([tmp_path / "print.txt"], published)
    expected = campaign.figures(aim.device[rows], aim.lab[rows], np.round(printed, 6))
    for one in found.measures:
        if one.name in expected:
            assert one.value == pytest.approx(expected[one.name], abs=0.01), one.name


@pytest.mark.source("ISO-13655-2017", "measurement conditions and backings are not mixed")
def test_what_was_taken_otherwise_is_refused_or_said(campaign, published, tmp_path, capsys):
    aim = read_aim(published)
    rows = campaign.strip(aim)
    campaign.write(tmp_path / "m0.txt", aim.device[rows], aim.lab[rows], "M0")
    words = ["aim", "check", str(tmp_path / "m0.txt"), "--aim", str(published)]
    assert run(words) == 2
    assert "readings of M0 against an aim of M1" in capsys.readouterr().err
    assert run([*words, "--insist", "the instrument has no M1", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["insisted"] == "the instrument has no M1"
    assert found["level"] == "attention"
    text = (tmp_path / "m0.txt").read_text("utf-8").replace("Condition=M0", "Condition=M1")
    (tmp_path / "black.txt").write_text(text.replace("NUMBER_OF_FIELDS", 'SAMPLE_BACKING\t"black"\nNUMBER_OF_FIELDS'), "utf-8")
    words[2] = str(tmp_path / "black.txt")
    assert run([*words, "--aim-backing", "white"]) == 2
    assert "black backing against an aim over a white one" in capsys.readouterr().err
    assert run([*words, "--aim-condition", "M0"]) == 2  # the aim's own file says M1
    (tmp_path / "unstated.txt").write_text(text.replace('"MeasurementCondition=M1"', '"none"'), "utf-8")
    words[2] = str(tmp_path / "unstated.txt")
    assert run([*words, "--json"]) == 0
    assert "condition-readings" in json.loads(capsys.readouterr().out)["cautions"]


@pytest.mark.common_practice("no source: the paper is part of a contract proof; in production the aim may follow it")
def test_an_aim_follows_the_paper_only_where_that_is_asked_for_and_allowed(campaign, published, tmp_path):
    from spectro.colour.paper_measures import on_another_paper

    aim = read_aim(published)
    rows = campaign.strip(aim)
    darkest = aim.lab[np.flatnonzero((np.round(aim.device, 6) == [1, 1, 1, 0]).all(axis=1))[0]]
    printed = on_another_paper(aim.lab[rows], aim.lab[rows][0], [92, 0.5, 2.0], darkest)
    campaign.write(tmp_path / "print.txt", aim.device[rows], printed)
    found = aim_check([tmp_path / "print.txt"], published, kind=PrintKind.PRESS_RUN, substrate_corrected=True)
    assert found.differences.max < 0.01
    assert "paper-too-far" in found.cautions  # above the limit on purpose
    assert aim_check([tmp_path / "print.txt"], published).failed
    with pytest.raises(InputError, match="its paper"):
        aim_check([tmp_path / "print.txt"], published, substrate_corrected=True)
    with pytest.raises(InputError, match="no limits for a validation-print"):
        aim_check([tmp_path / "print.txt"], published, kind=PrintKind.VALIDATION_PRINT)


@pytest.mark.source("ISO-12647-2-2013", "solids of a press run are held to the OK sheet, its tone values to the aim")
def test_a_press_run_is_held_to_its_ok_sheet(campaign, published, tmp_path):
    aim = read_aim(published)
    rows = campaign.strip(aim)
    ok = aim.lab[rows] + np.array([0.0, 2.0, 0.0])
    for number, shift in enumerate((0.0, 0.2, 6.0)):
        campaign.write(tmp_path / f"{number}.txt", aim.device[rows], ok + np.array([shift, 0.0, 0.0]))
    campaign.write(tmp_path / "ok.txt", aim.device[rows], ok)
    files = [tmp_path / f"{number}.txt" for number in range(3)]
    found = aim_check(files[:2], published, kind=PrintKind.PRESS_RUN, ok_sheet=tmp_path / "ok.txt")
    assert {one.name for one in found.failed} == set()
    assert found.sheets[0].solids_from_ok == 0
    found = aim_check(files, published, kind=PrintKind.PRESS_RUN, ok_sheet=tmp_path / "ok.txt")
    assert {"solids", "black_solid"} & {one.name for one in found.failed}
    assert found.sheets[2].solids_from_ok == max(one.solids_from_ok for one in found.sheets)


@pytest.mark.common_practice("no source: a strip without solids proves nothing about them")
def test_what_was_not_read_is_no_good_verdict(campaign, published, tmp_path, capsys):
    aim = read_aim(published)
    percent = np.round(100 * aim.device).astype(int)
    rows = np.flatnonzero((percent > 0).sum(axis=1) != 1)[:40]
    campaign.write(tmp_path / "part.txt", aim.device[rows], aim.lab[rows])
    assert run(["aim", "check", str(tmp_path / "part.txt"), "--aim", str(published), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["level"] == "attention"
    assert "no patches for" in found["verdict"]
    campaign.write(tmp_path / "few.txt", aim.device[:5], aim.lab[:5])
    assert run(["aim", "check", str(tmp_path / "few.txt"), "--aim", str(published)]) == 2
    lacking = np.flatnonzero(percent.sum(axis=1) > 0)
    campaign.write(tmp_path / "lacking.txt", aim.device[lacking], aim.lab[lacking])
    assert run(["aim", "check", str(tmp_path / "part.txt"), "--aim", str(tmp_path / "lacking.txt")]) == 2
    assert "without the bare paper" in capsys.readouterr().err


@pytest.mark.common_practice("no source: a label says what was judged, how and when")
def test_a_report_and_a_label(tmp_path, capsys):
    out = [str(tmp_path / name) for name in ("report.html", "report.pdf", "label.pdf")]
    words = ["aim", "check", *CONTROL[1:2], "--aim", CONTROL[0], "--report", out[0], "--pdf", out[1], "--label", out[2]]
    assert run(words) == 0
    from pypdf import PdfReader

    label = "".join(page.extract_text() for page in PdfReader(out[2]).pages)
    for said in ("contract proof", "M1", "2026-02-02", "stand-in instrument"):
        assert said in label
    assert "Limits" in Path(out[0]).read_text("utf-8")
    assert run(words) == 2  # they are there
    capsys.readouterr()


@pytest.mark.common_practice("no source: a spot colour that is one of the chart's own patches is reached by that patch")
def test_colours_within_reach_come_with_their_recipe(tmp_path, capsys):
    readings = ROOT / "demo_measurements" / "demo-second-sheet-m1.txt"
    colours = tmp_path / "spots.csv"
    colours.write_text("name,LAB_L,LAB_A,LAB_B\n=bright,50,-120,20\nown grey,60,0,0\n", "utf-8")
    words = ["aim", "reach", str(readings), "--colours", str(colours), "--out", str(tmp_path / "recipes.csv"), "--json"]
    assert run(words) == 0
    found = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in found["colours"]] == ["=bright", "own grey"]  # missed by most first
    assert found["colours"][1]["difference"] < 0.1
    assert "1 of 2" in found["verdict"]
    assert (tmp_path / "recipes.csv").read_text("utf-8").startswith("name,R,G,B,L,a,b,")
    assert run(words) == 2  # it is there
    assert run([*words[:5], "--total-area", "300"]) == 2
    assert "RGB" in capsys.readouterr().err
