"""Proof pages as a user has them: made, printed on the stand-in rightly and wrongly, read, judged, reported."""

import dataclasses
import json
import shutil
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from page_reader import Reader

from spectro.chart.read_folder import read_chart_folder
from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.icc.profile_file import pack_profile, parse_profile
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.proof import ProofWay
from spectro.records.proof_result import ProofCause
from spectro.report.proof_document import proof_document
from spectro.report.render_html import render_html
from spectro.report.render_pdf import render_pdf
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.proof_prints import ProofMishap, print_proof
from spectro.standards.limits import shipped_limits
from spectro.words.proof import proof_next
from spectro.workflow.profile.proof import proof_of_measurements

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "benchmarks"))
import proof_causes


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A profile of the stand-in on matte paper, and its proof pages of two ways, made by the command."""
    place = tmp_path_factory.mktemp("proof")
    (place / "a.icc").write_bytes(pack_profile(proof_causes.stand_in_profile(matte_paper())))
    for way in ("device", "lab"):
        assert run(["profile", "proof-page", str(place / "a.icc"), "--way", way, "--out", str(place / way), "--quiet"]) == 0
    return place


@pytest.fixture(scope="module")
def profile(folder):
    return parse_profile((folder / "a.icc").read_bytes())


def chart_of(folder, way="device"):
    return read_chart_folder(folder / way).chart


def printed(chart, mishap=ProofMishap.NOTHING, seed=1):
    readings = print_proof(chart.device, chart.positions, mishap, seed=seed)
    return dataclasses.replace(readings, sample_ids=chart.sample_ids, sample_names=chart.sample_names)


def judged(folder, profile, mishap=ProofMishap.NOTHING, way="device", seed=1, **changes):
    chart = chart_of(folder, way)
    readings = dataclasses.replace(printed(chart, mishap, seed), **changes)
    return proof_of_measurements(profile, "a.icc", chart, way, readings)


def write(path, readings):
    path.write_text(pack_cgats(measurement_table(readings)), "utf-8")
    return str(path)


@pytest.mark.parametrize("way", [ProofWay.DEVICE, ProofWay.LAB, ProofWay.OPRGB])
def test_every_mishap_is_named_for_every_seed(profile, way):
    """Each print on a sheet of its own, read with the stand-in's noise, the mishap of another size."""
    chart = proof_causes.proof_chart(profile, way)
    found = proof_causes.campaign(profile, chart, matte_paper(), 1)
    wrong = {
        name: dict(counts) for name, (wanted, counts) in found.items() if proof_causes.right(wanted, counts) < counts.total()
    }
    assert wrong == {}  # the truth is among the causes told, two at most
    assert len(found) == {"device": 15, "lab": 20, "oprgb": 21}[way]
    assert found["nothing"][1] == Counter({"as forecast (clear)": found["nothing"][1].total()})


def test_a_right_print_is_proven_and_its_numbers_add_up(folder, profile):
    result = judged(folder, profile)
    assert result.proven
    assert result.verdict.startswith("Excellent, proven in print: the profile prints what it promises. ")
    assert f"ΔE00 {result.within.mean:.2f} on average" in result.verdict
    assert result.breaches == ()
    assert result.share.noise_from.startswith("the profile's own readings")
    parts = (result.share.noise, result.share.model, result.share.tables, result.share.sheet)
    assert result.share.expected == pytest.approx(np.sqrt(np.sum(np.square(parts))))
    assert result.share.explained == pytest.approx(min(1, (result.share.expected / result.share.measured) ** 2))
    assert sum(statistics.n for statistics in result.against_aim.values()) == len(result.groups) == 120
    assert result.against_forecast["outside"].mean < 0.6 < result.against_aim["outside"].mean
    within = np.array(result.groups) != "outside"
    assert result.within.mean == pytest.approx(result.delta_aim[within].mean())
    assert "proves the profile, not your program's settings" in result.cautions[0]


def test_differences_are_those_of_a_general_colour_library(folder, profile):
    """Readings to Lab and ΔE00 by an independent library, from the readings' spectra; repeats averaged as reflectance."""
    colour = pytest.importorskip("colour")
    chart = chart_of(folder)
    readings = printed(chart)
    result = judged(folder, profile)
    shape = colour.SpectralShape(380, 730, 10)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(colour.SpectralShape(360, 780, 1))
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(colour.SpectralShape(360, 780, 1))
    d50 = colour.XYZ_to_xy(np.array([96.42, 100, 82.49]))
    for row in (0, 17, 60, 119):
        same = (np.abs(chart.device - result.device[row]) < 1e-9).all(axis=1)
        mean = readings.reflectance[same].mean(axis=0)
        spectrum = colour.SpectralDistribution(mean, shape).interpolate(colour.SpectralShape(380, 730, 1))
        spectrum = spectrum.extrapolate(colour.SpectralShape(360, 780, 1))
        xyz = colour.sd_to_XYZ(spectrum, cmfs, light, method="Integration")
        scaled = xyz * np.array([96.42, 100, 82.49]) / colour.sd_to_XYZ(
            colour.sd_ones(colour.SpectralShape(360, 780, 1)), cmfs, light, method="Integration"
        )  # fmt: skip
        lab = colour.XYZ_to_Lab(scaled / 100, d50)
        assert float(delta_e_2000(lab, result.measured_lab[row])) < 0.1
        expected = colour.delta_E(lab, result.aim_lab[row], method="CIE 2000")
        assert result.delta_aim[row] == pytest.approx(float(expected), abs=0.12)


def test_the_forecast_is_that_of_an_independent_engine(folder, profile):
    """littleCMS, device values to absolute Lab."""
    cms = pytest.importorskip("imagecodecs")
    result = judged(folder, profile)
    out = cms.cms_transform(
        np.ascontiguousarray(result.device[None]), (folder / "a.icc").read_bytes(), cms.cms_profile("lab4"),
        colorspace="rgb", outcolorspace="lab", intent=3, outdtype="float64",
    )  # fmt: skip
    assert delta_e_2000(out[0], result.forecast_lab).max() < 0.05


@pytest.mark.parametrize(
    ("mishap", "words", "next_step"),
    [
        (ProofMishap.DRIVER_ENHANCES, "The driver enhanced the page", "Take back enhancement"),
        (ProofMishap.OTHER_PAPER, "This is another paper", "Load the paper"),
        (ProofMishap.READ_M2, "read under another measurement condition", "Read the page again"),
        (ProofMishap.DARK_INK_LOST, "An ink fails", "Check the nozzles"),
    ],
)
def test_verdicts_name_the_mistake_and_what_to_do(folder, profile, mishap, words, next_step):
    result = judged(folder, profile, mishap)
    assert not result.proven
    assert result.verdict.startswith("Do not use it as it prints now: ")
    assert words.lower() in result.verdict.lower()
    assert result.next_step.startswith(next_step)


@pytest.mark.common_practice("no source: what costs no paper comes first, and no profile is made over a wrong reading")
def test_what_a_reading_may_have_done_is_looked_at_before_paper_is_profiled(folder, profile):
    result = judged(folder, profile, ProofMishap.OTHER_PAPER)
    aims = chart_of(folder).proof
    limits = shipped_limits("proof")
    for also, words in (
        (ProofCause.WHITE_REFERENCE, "First clean the reference, calibrate"),
        (ProofCause.DAMP, "First let the page dry"),
        (ProofCause.INK, "Check the nozzles first"),
    ):
        told = dataclasses.replace(result.explanation, cause=ProofCause.PAPER, also=str(also))
        assert proof_next(told, result.share, aims, limits).startswith(words)
        assert "profile this one" in proof_next(told, result.share, aims, limits)


def test_a_stated_condition_that_differs_is_the_cause(folder, profile):
    result = judged(folder, profile, ProofMishap.READ_M2, condition=MeasurementCondition.M2)
    assert result.explanation.cause is ProofCause.CONDITION
    assert "read under M2, profiled under M1" in result.verdict
    assert any("Read under M2" in caution for caution in result.cautions)


def test_what_nothing_explains_is_said_to_be_unexplained(folder, profile):
    """Readings in no order: no cause is made up, and repeats that differ do not excuse it."""
    chart = chart_of(folder)
    readings = printed(chart)
    order = np.random.default_rng(3).permutation(len(chart))
    mixed = dataclasses.replace(readings, reflectance=readings.reflectance[order])
    result = proof_of_measurements(profile, "a.icc", chart, "device", mixed)
    assert not result.proven
    assert result.explanation.cause is ProofCause.UNKNOWN
    assert "No cause that is known explains it" in result.verdict
    assert result.cautions[0].startswith("Repeats of one colour differ far more than readings do")


def test_a_part_of_the_page_is_enough_to_say_something(folder, profile):
    chart = chart_of(folder)
    readings = printed(chart)
    some = np.arange(40)

    def part(rows):
        arrays = {name: getattr(readings, name)[rows] for name in ("device", "reflectance", "positions")}
        words = {name: tuple(np.array(getattr(readings, name))[rows].tolist()) for name in ("sample_ids", "sample_names")}
        return dataclasses.replace(readings, **arrays, **words)

    result = proof_of_measurements(profile, "a.icc", chart, "device", part(some))
    assert result.proven
    assert "of 120 colours of the page were not read" in " ".join(result.cautions)
    with pytest.raises(InputError, match="24 or more"):
        proof_of_measurements(profile, "a.icc", chart, "device", part(some[:12]))


@pytest.mark.parametrize("way", ["device", "lab"])
def test_the_command_reports_a_proven_profile(folder, way, tmp_path, capsys):
    chart = chart_of(folder, way)
    readings = write(tmp_path / "read.txt", printed(chart))
    words = ["profile", "assess", str(folder / "a.icc"), "--proof", readings, "--chart", str(folder / way)]
    report, pdf = tmp_path / "r.html", tmp_path / "r.pdf"
    assert run([*words, "--report", str(report), "--pdf", str(pdf)]) == 0
    text = capsys.readouterr().out
    assert text.startswith("Excellent, proven in print")
    assert "common colours" in text
    page = Reader(report.read_text("utf-8"))
    assert page.words().startswith("Excellent, proven in print")
    assert "skin, light" in page.words()
    assert pdf.read_bytes().startswith(b"%PDF")
    assert run([*words, "--json"]) == 0
    numbers = json.loads(capsys.readouterr().out)
    assert numbers["proven"] is True
    assert numbers["cause"]["name"] == "as forecast"
    assert len(numbers["colours"]) == 120
    assert numbers["page"]["way"] == way
    assert run([*words, "--report", str(report)]) == 2
    assert "exists already" in capsys.readouterr().err


def test_the_command_ends_with_3_where_the_print_is_not_as_forecast(folder, tmp_path, capsys):
    readings = write(tmp_path / "read.txt", printed(chart_of(folder), ProofMishap.OTHER_PAPER))
    report = tmp_path / "r.html"
    words = ["profile", "assess", str(folder / "a.icc"), "--proof", readings, "--chart", str(folder / "device")]
    assert run([*words, "--report", str(report)]) == 3
    assert "another paper" in capsys.readouterr().out
    page = Reader(report.read_text("utf-8")).words()
    assert "Why it is not as forecast" in page


@pytest.mark.afresh
def test_reports_are_the_same_bytes_for_the_same_input(folder, profile):
    first, second = (judged(folder, profile) for _ in range(2))
    assert render_html(proof_document(first)) == render_html(proof_document(second))
    assert render_pdf(proof_document(first)) == render_pdf(proof_document(second))


def test_names_from_files_are_escaped(folder, profile):
    result = judged(folder, profile)
    hostile = dataclasses.replace(result, chart="<script>alert(1)</script>", names=("<b>x</b>",) * len(result.names))
    page = render_html(proof_document(hostile))
    assert "<script>" not in page
    assert "<b>x</b>" not in page


def test_readings_taken_strip_by_strip_are_judged(folder, tmp_path, capsys):
    """The page goes through a sitting as any chart does."""
    shutil.copytree(folder / "device", tmp_path / "page")
    out = str(tmp_path / "taken.txt")
    assert run(["readings", "take", str(tmp_path / "page"), "--instrument", "stand-in", "--out", out, "--quiet"]) == 0
    capsys.readouterr()
    assert run(["profile", "assess", str(folder / "a.icc"), "--proof", out, "--chart", str(tmp_path / "page")]) == 0
    assert capsys.readouterr().out.startswith("Excellent, proven in print")


def test_a_proof_goes_onto_the_shelf(folder, tmp_path, capsys):
    shelf = str(tmp_path / "shelf")
    assert run(["shelf", "new", "--shelf", shelf, "--printer", "Stand-in", "--paper", "Matte", "--media-setting", "Matte"]) == 0
    name = capsys.readouterr().out.splitlines()[0]
    readings = write(tmp_path / "read.txt", printed(chart_of(folder)))
    words = ["profile", "assess", str(folder / "a.icc"), "--proof", readings, "--chart", str(folder / "device")]
    assert run([*words, "--shelf", shelf, "--on-shelf", name]) == 0
    assert "a-proof.html" in capsys.readouterr().out
    assert run(["shelf", "verify", "--shelf", shelf]) == 0


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["proof-page", "absent.icc"], "absent.icc"),
        (["proof-page", "A.icc", "--patches", "20"], "--patches 20"),
        (["proof-page", "A.icc", "--page", "stamp"], "--page 'stamp'"),
        (["proof-page", "A.icc", "--recipe", "cmyk-medium-strip"], "one for RGB"),
        (["proof-page", "A.icc", "--out", "DEVICE"], "exists already"),
        (["proof-page", "A.icc", "--title", "a\nb", "--out", "x"], "--title"),
        (["proof-page", "READ.txt"], "undamaged ICC profile"),
        (["assess", "A.icc"], "no readings"),
        (["assess", "A.icc", "--proof", "READ.txt"], "--proof without --chart"),
        (["assess", "A.icc", "READ.txt", "--proof", "READ.txt", "--chart", "DEVICE"], "together with --proof"),
        (["assess", "A.icc", "--proof", "READ.txt", "--chart", "PLAIN"], "a chart without aims"),
        (["assess", "OTHER.icc", "--proof", "READ.txt", "--chart", "DEVICE"], "another profile than the proof page"),
        (["assess", "A.icc", "--proof", "LAB.txt", "--chart", "DEVICE"], "differ from the chart's"),
        (["assess", "A.icc", "--proof", "READ.txt", "--chart", "absent"], "absent"),
        (["assess", "A.icc", "--proof", "READ.txt", "--chart", "DEVICE", "--report", "r.pdf"], "a page for a browser"),
    ],
)
def test_bad_input_ends_with_two_and_one_message(folder, words, part, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    names = {
        "A.icc": folder / "a.icc",
        "DEVICE": folder / "device",
        "READ.txt": tmp_path / "READ.txt",
        "PLAIN": tmp_path / "plain",
    }
    write(tmp_path / "READ.txt", printed(chart_of(folder)))
    write(tmp_path / "LAB.txt", printed(chart_of(folder, "lab")))
    (tmp_path / "OTHER.icc").write_bytes((folder / "a.icc").read_bytes() + b"\0")
    if "PLAIN" in words:
        assert run(["chart", "new", "--patches", "40", "--out", "plain", "--quiet"]) == 0
        capsys.readouterr()
    before = sorted(tmp_path.iterdir())
    assert run(["profile", *(str(names.get(word, word)) for word in words)]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert part in captured.err
    assert sorted(tmp_path.iterdir()) == before


def test_a_grey_profile_is_refused(folder, tmp_path, capsys):
    profile = parse_profile((folder / "a.icc").read_bytes())
    header = dataclasses.replace(profile.header, colour_space=b"GRAY")
    (tmp_path / "g.icc").write_bytes(pack_profile(dataclasses.replace(profile, header=header)))
    assert run(["profile", "proof-page", str(tmp_path / "g.icc"), "--out", str(tmp_path / "x")]) == 2
    assert "header and table contradict each other" in capsys.readouterr().err


def test_a_recipe_cannot_ask_for_a_proof_page(tmp_path, capsys):
    from spectro.chart.recipe import read_recipe, recipe_text
    from spectro.records.chart import ProofStanza

    recipe = dataclasses.replace(read_recipe("rgb-a4-strip"), proof=ProofStanza(way="lab", intent="relative", profile="a"))
    (tmp_path / "r.toml").write_text(recipe_text(recipe), "utf-8")
    assert run(["chart", "new", str(tmp_path / "r.toml"), "--out", str(tmp_path / "c")]) == 2
    assert "spectro profile proof-page" in capsys.readouterr().err
