"""Spectra to Lab against published characterization data, CIE white points and a second implementation."""

from pathlib import Path

import colour
import numpy as np
import pytest
from colour.colorimetry.tristimulus_values import tristimulus_weighting_factors_ASTME2022
from hypothesis import given
from hypothesis import strategies as st

from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import spectra_to_lab, tristimulus
from spectro.colour.weights import lagrange_matrix, tristimulus_weights
from spectro.errors import InputError, ShapeError
from spectro.files.cgats import read_cgats

PUBLISHED = Path(__file__).parents[1] / "published"
FULL = np.arange(360.0, 781.0)
NM = np.arange(380.0, 731.0, 10.0)
# light: X, Z of the 2 degree observer, X, Z of the 10 degree observer; 1 nm sums, 360 to 780 nm
WHITES = {
    "A": (109.849, 35.591, 111.142, 35.206),
    "D50": (96.424, 82.513, 96.721, 81.415),
    "D55": (95.683, 92.138, 95.800, 90.911),
    "D65": (95.047, 108.883, 94.811, 107.305),
    "D75": (94.971, 122.619, 94.414, 120.617),
    "F2": (99.147, 67.319, 103.244, 68.987),
    "F7": (95.019, 108.639, 95.778, 107.618),
    "F11": (100.900, 64.267, 103.821, 65.558),
    "LED-B3": (100.862, 67.634, 103.310, 67.907),
}


@pytest.mark.source("CIE-15-2018", "white points of the illuminants, Y = 100, sums at 1 nm")
@pytest.mark.parametrize("light", WHITES)
def test_whites_of_the_lights(light):
    x2, z2, x10, z10 = WHITES[light]
    np.testing.assert_allclose(tristimulus_weights(FULL, light, 2).sum(axis=0), [x2, 100, z2], atol=0.01)
    np.testing.assert_allclose(tristimulus_weights(FULL, light, 10).sum(axis=0), [x10, 100, z10], atol=0.01)


@pytest.mark.source(
    "ISO-13655-2017", "weights for D50, 2 degree, 10 nm; the numbers below are from memory, confirmed by their sums"
)
def test_weights_for_10_nm_are_near_the_printed_ones():
    weights = tristimulus_weights(NM, "D50", 2)
    at = {440: (2.453, 0.162, 12.309), 550: (4.207, 9.650, 0.085), 600: (9.835, 5.838, 0.007)}
    for wavelength, expected in at.items():
        np.testing.assert_allclose(weights[int((wavelength - 380) / 10)], expected, atol=0.04)


@pytest.mark.source("ASTM-E2022", "as implemented by a general colour-science library")
@pytest.mark.parametrize("step", [5, 10, 20])
@pytest.mark.parametrize("light", ["D50", "A", "F11"])
def test_weights_agree_with_a_second_implementation(step, light):
    shape = colour.SpectralShape(360, 780, 1)
    functions = colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"].copy().align(shape)
    power = colour.SDS_ILLUMINANTS[{"F11": "FL11"}.get(light, light)].copy().align(shape)
    expected = tristimulus_weighting_factors_ASTME2022(functions, power, colour.SpectralShape(360, 780, step))
    np.testing.assert_allclose(tristimulus_weights(np.arange(360.0, 781.0, step), light, 10), expected, atol=1e-9)


@pytest.mark.source("ASTM-E308", "absent wavelengths are added to the outermost band: a flat spectrum stays neutral")
@pytest.mark.parametrize("light", ["A", "D50", "D65", "F2", "LED-B3"])
def test_flat_spectrum_is_neutral_whatever_ends_are_missing(light):
    for wavelengths in (NM, np.arange(400.0, 701.0, 10.0), np.arange(360.0, 831.0, 5.0)):
        lab = spectra_to_lab(np.full(len(wavelengths), 0.5), wavelengths, light, 10)
        np.testing.assert_allclose(lab, [76.069, 0, 0], atol=0.001)


@pytest.mark.source("FOGRA51", "1617 spectra against the published Lab, D50, 2 degree")
def test_fogra51_spectra_give_the_published_lab(check_data):
    folder = check_data / "offset-coated-fogra51"
    spectra = read_cgats(folder / "fogra51-spectral.txt")
    published = read_cgats(folder / "fogra51-published.txt")
    reflectance = np.array([row[5:] for row in spectra.rows], dtype=float)
    lab = np.array([row[5:8] for row in published.rows], dtype=float)
    difference = delta_e_2000(spectra_to_lab(reflectance, NM), lab)
    assert len(difference) == 1617
    assert difference.mean() <= 0.006
    assert difference.max() <= 0.02


@pytest.mark.source("Beltrami-2022", "spectra and the Lab the instrument side wrote; four rows")
def test_rows_of_a_digital_press():
    rows = np.loadtxt(PUBLISHED / "digital_press_rows.csv", delimiter=",", skiprows=5, usecols=range(1, 40))
    assert rows.shape == (4, 39)
    assert delta_e_2000(spectra_to_lab(rows[:, 3:], NM), rows[:, :3]).max() <= 0.01


@given(st.integers(4, 12), st.floats(-2, 2), st.floats(-1, 1))
def test_lagrange_interpolation_is_exact_for_parabolas(count, slope, bend):
    nodes = np.arange(count, dtype=float)
    targets = np.linspace(0, count - 1, 37)
    matrix = lagrange_matrix(nodes, targets)
    np.testing.assert_allclose(
        matrix @ (bend * nodes**2 + slope * nodes + 1), bend * targets**2 + slope * targets + 1, atol=1e-9
    )


def test_unusable_wavelengths_are_refused():
    with pytest.raises(InputError, match="at least 420 to 680"):
        tristimulus_weights(np.array([380.0, 390, 410, 420]), "D50", 2)
    with pytest.raises(InputError, match="four, rising"):
        tristimulus_weights(np.array([380.0, 390, 390, 420]), "D50", 2)
    with pytest.raises(InputError, match="four, rising"):
        tristimulus_weights(NM[::-1], "D50", 2)
    with pytest.raises(InputError, match="step of 30 nm"):
        tristimulus_weights(np.delete(NM, [10, 11]), "D50", 2)
    with pytest.raises(InputError, match="20 nm or finer"):
        tristimulus_weights(np.arange(380.0, 731.0, 50.0), "D50", 2)
    with pytest.raises(InputError, match="at least 420 to 680"):
        tristimulus_weights(np.arange(500.0, 701.0, 10.0), "D50", 2)
    with pytest.raises(InputError, match="illuminant 'F99'"):
        tristimulus_weights(NM, "F99", 2)
    with pytest.raises(InputError, match="4000 to 25000 K"):
        tristimulus_weights(NM, "3000K", 2)
    with pytest.raises(InputError, match="observer 5"):
        tristimulus_weights(NM, "D50", 5)
    with pytest.raises(ShapeError, match="bands of the weights"):
        tristimulus(np.ones(35), tristimulus_weights(NM))


@pytest.mark.from_memory("ISO 13655 weights for D50, 2 degree, 10 nm: all 36 rows")
def test_weights_agree_with_the_remembered_table():
    table = np.loadtxt(PUBLISHED / "iso13655_weights_from_memory.csv", delimiter=",", skiprows=5)
    assert table.shape == (36, 4)
    np.testing.assert_allclose(tristimulus_weights(NM)[1:-1], table[1:-1, 1:], atol=0.04)


@pytest.mark.from_memory("ISO 13655 weights: Lab of real rows within 0.03 of what the instrument side wrote")
def test_rows_with_the_remembered_table():
    table = np.loadtxt(PUBLISHED / "iso13655_weights_from_memory.csv", delimiter=",", skiprows=5)[:, 1:]
    rows = np.loadtxt(PUBLISHED / "digital_press_rows.csv", delimiter=",", skiprows=5, usecols=range(1, 40))
    lab = xyz_to_lab(tristimulus(rows[:, 3:], table), [96.422, 100, 82.521])
    assert delta_e_2000(lab, rows[:, :3]).max() <= 0.03


@pytest.mark.from_memory("ASTM E308, table of white points for the A and D lights and F2, F7, F11")
def test_whites_of_the_remembered_table():
    for light, observer, x, z, near in (
        ("A", 2, 109.850, 35.585, 0.01), ("D50", 2, 96.422, 82.521, 0.01), ("D65", 2, 95.047, 108.883, 0.01),
        ("D65", 10, 94.811, 107.304, 0.01), ("F2", 2, 99.186, 67.393, 0.111), ("F7", 2, 95.041, 108.747, 0.111),
        ("F11", 2, 100.962, 64.350, 0.111),
    ):  # fmt: skip
        np.testing.assert_allclose(tristimulus_weights(FULL, light, observer).sum(axis=0), [x, 100, z], atol=near)
