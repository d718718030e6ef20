"""Density: flat and stepped spectra, real rows, the published print."""

from pathlib import Path

import numpy as np
import pytest

from spectro.colour.density import STATUSES, density, density_weights, paper_relative_density
from spectro.errors import InputError, ShapeError

NM = np.arange(380.0, 731.0, 10.0)
WIDE = np.arange(340.0, 831.0, 10.0)
PUBLISHED = Path(__file__).parents[1] / "published"


@pytest.mark.source("ISO-5-3", "density is minus the logarithm of the weighted reflectance: flat spectra, any channel")
@pytest.mark.parametrize("status", STATUSES)
def test_flat_spectra(status):
    for factor, expected in ((0.10, 1.0), (0.5, 0.30103), (0.89, 0.0506), (0.0030911, 2.5099), (0.18, 0.7447)):
        for nm in (NM, WIDE, np.arange(400.0, 701.0, 20.0)):
            np.testing.assert_allclose(density(np.full(len(nm), factor), nm, status), expected, atol=0.0005)


@pytest.mark.source("ISO-5-3", "a step at 500 nm, worked with the tables of spectral products")
def test_step_spectrum():
    step = np.where(WIDE < 500, 0.05, 0.85)
    _, red, green, blue = density(step, WIDE, "T")
    np.testing.assert_allclose((red, green, blue), (0.0706, 0.0753, 0.9168), atol=0.0005)
    assert density(step, WIDE, "E")[3] == pytest.approx(1.2898, abs=0.0005)


@pytest.mark.source("Beltrami-2022", "four rows, densities worked with ends dropped; other end rules differ by 0.003")
def test_rows_of_a_digital_press():
    rows = np.loadtxt(PUBLISHED / "digital_press_rows.csv", delimiter=",", skiprows=5, usecols=range(4, 40))
    expected = {
        "T": [
            [0.0760, 0.0775, 0.0718, 0.0370],
            [0.1232, 0.1237, 0.1129, 0.0774],
            [0.3521, 0.3370, 0.3239, 0.3078],
            [0.9093, 0.8273, 0.8759, 0.8591],
        ]
    }
    np.testing.assert_allclose(density(rows, NM, "T"), expected["T"], atol=0.003)
    np.testing.assert_allclose(density(rows, NM, "E")[:, 3], [0.0344, 0.0753, 0.3124, 0.8682], atol=0.003)


@pytest.mark.source("FOGRA51", "densities of paper and solids, absolute")
def test_offset_solids(offset):
    paper = density(offset.spectrum(0, 0, 0, 0), NM)
    np.testing.assert_allclose(paper, [0.059, 0.061, 0.055, 0.024], atol=0.005)
    assert density(offset.spectrum(100, 0, 0, 0), NM)[1] == pytest.approx(1.401, abs=0.005)
    assert density(offset.spectrum(0, 100, 0, 0), NM)[2] == pytest.approx(1.436, abs=0.005)
    yellow = offset.spectrum(0, 0, 100, 0)
    assert density(yellow, NM, "T")[3] == pytest.approx(1.026, abs=0.005)
    assert density(yellow, NM, "E")[3] == pytest.approx(1.265, abs=0.005)
    black = density(offset.spectrum(0, 0, 0, 100), NM)
    assert black[0] == pytest.approx(1.678, abs=0.005)
    assert np.all(paper_relative_density(paper, paper) == 0)
    assert paper_relative_density(black, paper)[0] == pytest.approx(1.678 - 0.059, abs=0.005)


def test_bad_input_is_refused():
    with pytest.raises(InputError, match="status 'I'"):
        density_weights(NM, "I")
    with pytest.raises(ShapeError):
        density(np.ones(35), NM)
    with pytest.raises(InputError, match="420 to 680"):
        density_weights(np.arange(500.0, 731.0, 10.0))
    assert density(np.zeros(36), NM).max() == pytest.approx(6)  # black of nothing at all has a density all the same
