"""Curves that make greys of cyan, magenta and yellow neutral, on presses made of published prints behind known gains."""

import csv
import importlib.util
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.chart.channels import CMYK
from spectro.chart.ink_patches import near_neutral_points, set_up_points
from spectro.cli.main import run
from spectro.colour.grey_balance import grey_tint, grey_triplet
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.files.cgats import write_cgats
from spectro.files.ink_stages_file import read_stages
from spectro.profile.ink_curves import through_curves
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.inks.chart import inks_chart
from spectro.workflow.inks.curves import inks_curves

ROOT = Path(__file__).resolve().parents[2]
GAINS = (10, -5, 8, -6)
JUDGED = np.array([0.07, 0.18, 0.33, 0.47, 0.62, 0.71])  # cyan of greys that no chart holds


@pytest.fixture(scope="module")
def press(check_data):
    """A published print behind invented gains."""
    spec = importlib.util.spec_from_file_location("ink_stages", ROOT / "benchmarks" / "ink_stages.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.Press("FOGRA51", [module.gain(each) for each in GAINS])


def chart():
    return np.vstack([np.zeros((1, 4)), np.eye(4), set_up_points(CMYK, None, near_neutral=True)])


@pytest.fixture(scope="module")
def first_print(press, tmp_path_factory):
    path = tmp_path_factory.mktemp("press") / "first.txt"
    write_cgats(measurement_table(press.read(chart(), 3)), path)
    return path


def printed_greys(press, curves):
    """Lab of greys as a press prints them, no reading's noise."""
    device = np.zeros((len(JUDGED), 4))
    device[:, :3] = grey_triplet(JUDGED)
    sent = through_curves(device, np.ones(4), curves)
    return spectra_to_lab(press.print(sent, noise=0), press.measurements.wavelengths)


def off(lab, paper, full):
    """By how much greys are off an aim reckoned here: L* even from paper to full overprint, tints of the paper fading."""
    light = paper[0] + (full[0] - paper[0]) * JUDGED
    away = lab[:, 1:] - paper[1:] * (1 - 0.85 * (paper[0] - light) / (paper[0] - full[0]))[:, None]
    return np.hypot(*away.T), np.abs(lab[:, 0] - light)


def ends(press):
    return spectra_to_lab(press.print(np.array([[0.0] * 4, [1, 1, 1, 0]]), noise=0), press.measurements.wavelengths)


@pytest.mark.source("Colour-check-values", "grey balance triplets; the tint of greys on a tinted paper, from memory")
def test_triplets_and_tints_are_those_of_the_check_values():
    assert grey_triplet(np.array([0.25, 0.5, 0.75])) == pytest.approx(
        np.array([[0.25, 0.19, 0.19], [0.5, 0.4, 0.4], [0.75, 0.66, 0.66]])
    )
    assert grey_tint(np.array([56.52]), np.array([95.0, 1.5, -6.0]), 23.26)[0] == pytest.approx([0.816, -3.264], abs=5e-4)


@pytest.mark.source("FOGRA51", "a published print behind known gains: greys by another reckoning of their aim")
def test_greys_come_to_their_aim(press, first_print, tmp_path):
    found = inks_curves([first_print], curve_aim="near-neutral", out=tmp_path / "curves.toml", csv=tmp_path / "curves.csv")
    stages = read_stages(tmp_path / "curves.toml")
    before, after = (off(printed_greys(press, curves), *ends(press)) for curves in (None, stages.curves))
    assert before[0].mean() > 3
    assert before[1].mean() > 3
    assert after[0].max() < 0.5
    assert after[1].max() < 0.4
    for one in stages.curves:
        assert (np.diff(one.send) >= 0).all()
        assert (one.send[0], one.send[-1]) == (0, 1)
        assert np.abs(np.diff(one.send, 2)).max() < 0.05  # smooth
    assert found.greys.patches > 60
    rows = list(csv.reader((tmp_path / "curves.csv").read_text().splitlines()))
    assert len(rows) > 50


@pytest.mark.source("FOGRA51", "a second print through the curves refines them")
def test_a_second_print_keeps_greys_where_they_are(press, first_print, tmp_path):
    first = tmp_path / "first.toml"
    inks_curves([first_print], curve_aim="near-neutral", out=first)
    wanted = chart()
    sent = through_curves(wanted, np.ones(4), read_stages(first).curves)
    again = replace(press.read(sent, 8), device=wanted)
    write_cgats(measurement_table(again), tmp_path / "second.txt")
    second = tmp_path / "second.toml"
    invented = ReadingOptions(insist="single inks and overprints of this press come from two rules")
    found = inks_curves(
        [tmp_path / "second.txt"], curve_aim="near-neutral", stages=first, on=["curves"], options=invented, out=second
    )
    assert found.greys.off(found.greys.before)[0].mean() < 0.5  # they were right already
    chroma, light = off(printed_greys(press, read_stages(second).curves), *ends(press))
    assert chroma.max() < 0.5
    assert light.max() < 0.4


@pytest.mark.source("FOGRA51", "a published print; the greys of another print as the aim: they come to its lightness")
def test_greys_of_a_data_set_are_met(press, first_print, check_data, tmp_path):
    other = check_data / "characterization" / "fogra39.txt"
    out = tmp_path / "curves.toml"
    words = ["--curve-aim", "near-neutral", "--against", str(other), "--out", str(out), "--quiet"]
    assert run(["inks", "curves", str(first_print), *words]) == 0
    paper, full = ends(press)
    lab = printed_greys(press, read_stages(out).curves)
    # FOGRA39: 50/40/40 is L* 57.0 on paper of 95.0 with a full overprint of 22.3, read by hand between its patches
    at_half = np.interp(0.5, JUDGED, lab[:, 0])
    assert 54 < at_half < 61
    assert (np.diff(lab[:, 0]) < 0).all()
    assert (paper[0], full[0]) > (lab[0, 0], 0)


@pytest.mark.common_practice("no source: what is missing is said with what to print")
def test_a_chart_without_near_neutrals_says_what_to_print(press, tmp_path, capsys):
    rows = np.array([row for row in chart() if (row > 0).sum() <= 1 or row[3] > 0])
    path = tmp_path / "ramps.txt"
    write_cgats(measurement_table(press.read(rows, 1)), path)
    assert run(["inks", "curves", str(path), "--curve-aim", "near-neutral"]) == 2
    said = capsys.readouterr().err
    assert "near-neutral patches" in said
    assert "spectro inks chart --channels" in said
    assert "--near-neutral" in said
    with pytest.raises(InputError, match="against"):
        inks_curves([path], against=path)


@pytest.mark.common_practice("no source: greys and patches around them are on the chart, some of them twice")
def test_the_chart_holds_near_neutrals(tmp_path):
    made = inks_chart("CMYK", tmp_path / "inks", near_neutral=True)
    near = near_neutral_points(CMYK)
    assert len(near) == 100
    assert (near[:, 3] == 0).all()
    assert made.patches > 250
    assert any("Near-neutral" in choice for choice in made.choices)
    with pytest.raises(InputError, match="cyan"):
        inks_chart("orange,green,violet,black", tmp_path / "others", near_neutral=True)


@pytest.mark.common_practice("no source: the report shows greys before and after")
def test_the_report_shows_greys(first_print, tmp_path, capsys):
    page = tmp_path / "greys.html"
    words = ["--curve-aim", "near-neutral", "--report", str(page), "--json"]
    assert run(["inks", "curves", str(first_print), *words]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["greys"]["with"]["chroma_mean"] < answer["greys"]["without"]["chroma_mean"] / 5
    assert answer["next"].startswith("spectro inks chart --channels CMYK --near-neutral")
    assert "Greys before and after" in page.read_text("utf-8")
    assert len(load_readings([first_print])) > 250
