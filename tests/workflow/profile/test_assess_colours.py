"""Published sets that state colours without spectra serve in assessing a profile."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import GateError, InputError
from spectro.icc.profile_file import parse_profile
from spectro.readings.load import load_readings
from spectro.workflow.profile.assess import assess_measurements, profile_assess
from spectro.workflow.profile.build import ProfileSettings, make_profile, profile_build

SECOND = Path(__file__).resolve().parents[3] / "demo_measurements" / "demo-second-sheet-m1.txt"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A profile, and the colours of its readings without their spectra."""
    folder = tmp_path_factory.mktemp("colours")
    profile_build([SECOND], folder / "a.icc", settings=ProfileSettings(grid=9))
    found = load_readings([SECOND])
    return folder / "a.icc", found.device * 255, spectra_to_lab(found.reflectance, found.wavelengths)


def written(file, device, lab):
    lines = ["CGATS.17", "BEGIN_DATA_FORMAT", "SAMPLE_ID RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B", "END_DATA_FORMAT", "BEGIN_DATA"]
    rows = np.concatenate([device, lab], axis=1)
    lines += [f"{number} " + " ".join(f"{value:.4f}" for value in row) for number, row in enumerate(rows, 1)]
    file.write_text("\n".join([*lines, "END_DATA", ""]))
    return file


def test_colours_give_the_same_differences_as_their_spectra(made, tmp_path):
    profile, device, lab = made
    by_lab = profile_assess(profile, [written(tmp_path / "lab.txt", device, lab)])
    by_spectra = profile_assess(profile, [SECOND])
    assert by_lab.delta_e_2000.mean == pytest.approx(by_spectra.delta_e_2000.mean, abs=1e-3)
    assert by_lab.gate == ()


def test_they_pass_the_gate_as_spectra_do(made, tmp_path):
    profile, device, lab = made
    with pytest.raises(GateError, match="the device values count the other way"):
        profile_assess(profile, [written(tmp_path / "inverted.txt", 255 - device, lab)])


def test_colours_without_device_values_ask_for_the_chart(made, tmp_path):
    profile, device, lab = made
    file = written(tmp_path / "bare.txt", device, lab)
    file.write_text(file.read_text().replace("RGB_", "OTHER_"))
    with pytest.raises(InputError, match="no device values"):
        profile_assess(profile, [file])


@pytest.mark.source("Balci-2025", "the glossy print; what is left out of it is invented")
def test_what_too_few_readings_stand_for_is_named(check_data):
    """Ten patches, or greys alone, say nothing of most colours, however well they fit."""
    print_ = load_readings([check_data / "photo-inkjet-glossy" / "chart-680-m0.txt"])

    def some(rows):
        return replace(
            print_, sample_ids=tuple(print_.sample_ids[row] for row in rows), sample_names=("",) * len(rows),
            device=print_.device[rows], reflectance=print_.reflectance[rows], positions=np.zeros((0, 3), dtype=np.int64),
        )  # fmt: skip

    greys = np.flatnonzero(np.ptp(print_.device, axis=1) < 1e-6)
    rows = np.setdiff1d(np.random.default_rng(2).permutation(len(print_)), greys, assume_unique=True)
    built, others = some(rows[:400]), some(rows[400:])
    profile = parse_profile(make_profile(built, settings=ProfileSettings(grid=9)).data)
    whole = assess_measurements(profile, "x.icc", others).verdict
    assert "Too few readings" not in whole
    few = assess_measurements(profile, "x.icc", some(rows[400:410])).verdict
    grey = assess_measurements(profile, "x.icc", some(greys)).verdict
    for verdict in (few, grey):
        assert verdict.startswith("Looks usable")
        assert "of those it says nothing" in verdict
    assert "greys" not in grey.partition("Too few readings")[2]
