"""Published sets that state colours without spectra serve in assessing a profile."""

from pathlib import Path

import numpy as np
import pytest

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import GateError, InputError
from spectro.readings.load import load_readings
from spectro.workflow.profile.assess import profile_assess
from spectro.workflow.profile.build import ProfileSettings, profile_build

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
