"""Proof pages of a press: a published profile, its pages through the command, and prints by published spectra."""

import dataclasses
import json
import os

import imagecodecs
import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator

from spectro.chart.read_folder import read_chart_folder
from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.files.cgats import pack_cgats
from spectro.icc.profile_file import parse_profile, read_profile
from spectro.profile.proof_aims import device_channels, whole_steps
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.readings.write import measurement_table
from spectro.records.proof import WITHIN
from spectro.records.reading_options import ReadingOptions
from spectro.workflow.profile.proof import proof_of_measurements

STEP = 255


@pytest.fixture(scope="module")
def folder(tmp_path_factory, check_data):
    """Proof pages of a published profile of coated offset, made by the command."""
    place = tmp_path_factory.mktemp("press")
    for way in ("device", "lab"):
        words = ["profile", "proof-page", str(check_data / "icc/eci-fogra51-v2.icc"), "--way", way]
        assert run([*words, "--out", str(place / way), "--quiet"]) == 0
    return place


@pytest.fixture(scope="module")
def press(check_data):
    """The published spectra of that condition, by splines of log reflectance between their patches."""
    readings = load_readings([check_data / "offset-coated-fogra51/fogra51-spectral.txt"], ReadingOptions())
    found = average_repeats(readings)
    spline = RBFInterpolator(found.device, np.log(np.maximum(found.reflectance, 1e-3)), neighbors=40)
    return readings, lambda device: np.exp(spline(device))


def printed(press, chart, spectra, seed=1):
    noise = 1 + 0.003 * np.random.default_rng(seed).normal(size=(len(spectra), 1))  # invented: a good instrument's
    return dataclasses.replace(
        press[0], sample_ids=chart.sample_ids, sample_names=chart.sample_names, device=chart.device,
        reflectance=spectra * noise, positions=chart.positions, sheets=np.zeros(0, dtype=int), origin="page.txt",
    )  # fmt: skip


def judged(folder, press, check_data, spectra):
    chart = read_chart_folder(folder / "device").chart
    profile = read_profile(check_data / "icc/eci-fogra51-v2.icc")
    return proof_of_measurements(profile, "press.icc", chart, "device", printed(press, chart, spectra))


@pytest.mark.source("FOGRA51", "characterization data of coated offset, and the profile published with it")
def test_pages_ask_what_an_independent_engine_has_for_the_aims(folder, check_data):
    """The engine's own way from each patch's aim to ink and back: the page holds it within rounding to 8 bits."""
    import tifffile

    chart = read_chart_folder(folder / "device").chart
    assert chart.channels == ("cyan", "magenta", "yellow", "black")
    assert np.abs(chart.device * STEP - np.rint(chart.device * STEP)).max() < 1e-9
    assert chart.device.sum(axis=1).max() <= 3.0 + 4 / STEP  # the profile's own limit of 300 %
    data = (check_data / "icc/eci-fogra51-v2.icc").read_bytes()
    lab4, asked = imagecodecs.cms_profile("lab4"), np.array(chart.proof.pcs_lab)
    inks = imagecodecs.cms_transform(
        asked[None], lab4, data, colorspace="lab", outcolorspace="cmyk", outdtype="uint16", intent=1, flags=0x0040
    )[0]
    assert np.abs(inks / 65535 - chart.device).max() < 1.2 / STEP
    page = tifffile.imread(folder / "device" / "page-01-8-bit.tif")
    assert page.shape[2] == len(chart.channels)
    dpi = chart.recipe.page.resolution_dpi
    for row in range(0, len(chart), 7):
        left, top, width, height = chart.boxes_mm[row]
        at = [int((start + size / 2) / 25.4 * dpi) for start, size in ((top, height), (left, width))]
        np.testing.assert_array_equal(page[at[0], at[1]], np.rint(chart.device[row] * STEP))


def test_pages_that_the_rip_converts_hold_what_is_asked(folder):
    import tifffile

    chart = read_chart_folder(folder / "lab").chart
    page = tifffile.imread(folder / "lab" / "page-01.tif")
    assert page.shape[2] == 3
    assert chart.device.shape[1] == 4


def test_a_right_print_is_proven_and_what_fails_is_named(folder, press, check_data):
    """Prints by spectra that the profile's makers measured; faults are ours: sizes invented."""
    chart = read_chart_folder(folder / "device").chart
    right = judged(folder, press, check_data, press[1](chart.device))
    assert right.proven, right.verdict
    inside = np.array([group in WITHIN for group in right.groups])
    assert delta_e_2000(right.measured_lab, right.forecast_lab)[inside].mean() < 0.5
    without = chart.device * [1, 1, 1, 0.6]
    failing = judged(folder, press, check_data, press[1](without))
    assert not failing.proven
    assert failing.explanation.cause == "an ink fails"
    assert "black" in failing.explanation.detail
    toned = judged(folder, press, check_data, press[1](chart.device**0.82))
    assert toned.explanation.cause == "other tones"
    assert "where 50 % is sent" in toned.verdict
    assert "curves" in toned.next_step


def test_the_command_judges_a_page_and_a_chart_of_the_wrong_kind_is_refused(folder, press, check_data, tmp_path, capsys):
    chart = read_chart_folder(folder / "device").chart
    readings = tmp_path / "page.txt"
    readings.write_text(pack_cgats(measurement_table(printed(press, chart, press[1](chart.device)))), "utf-8")
    profile = str(check_data / "icc/eci-fogra51-v2.icc")
    words = ["profile", "assess", profile, "--proof", str(readings), "--chart", str(folder / "device")]
    assert run([*words, "--report", str(tmp_path / "proof.html"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["proven"] is True
    assert os.path.getsize(tmp_path / "proof.html") > 10_000
    assert run(["profile", "proof-page", profile, "--recipe", "rgb-a4-strip", "--out", str(tmp_path / "other")]) == 2
    assert "one for CMYK" in capsys.readouterr().err


def test_inks_are_called_as_the_profile_calls_them(check_data):
    """[ICC.1-2022] clrt; whole steps add no ink."""
    assert device_channels(parse_profile((check_data / "icc/crpc7-v4.icc").read_bytes()))[0] == "cyan"
    device = np.random.default_rng(2).random((200, 6)) / 2
    steps = whole_steps(device, inks=True)
    assert (steps.sum(axis=1) <= device.sum(axis=1) + 1e-9).all()
    assert np.abs(steps - device).max() < 2 / STEP
