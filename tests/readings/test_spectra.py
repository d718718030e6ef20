"""Spectra: any regular range, factor or percent, and the values no print has."""

import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.load import load_readings

pytestmark = pytest.mark.common_practice("no source: limits of plausible reflectance; the data is invented")
DEVICE = ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B"]


def parts(wavelengths, levels=(0.5, 0.9), name="SPECTRAL_NM{}"):
    return {
        "fields": [*DEVICE, *(name.format(nm) for nm in wavelengths)],
        "rows": [[index, 255, 0, 0, *[level] * len(wavelengths)] for index, level in enumerate(levels)],
    }


@pytest.mark.parametrize(
    ("first", "last", "step"), [(400, 700, 10), (380, 780, 5), (360, 830, 5), (400, 700, 20), (380, 730, 10), (390, 730, 1)]
)
def test_any_regular_range(readings_file, first, last, step):
    wavelengths = list(range(first, last + 1, step))
    assert load_readings([readings_file(**parts(wavelengths))]).wavelengths.tolist() == wavelengths


def test_columns_in_any_order(readings_file):
    wavelengths = list(range(400, 710, 10))
    path = readings_file(
        fields=[*DEVICE, *(f"nm{nm}" for nm in reversed(wavelengths))],
        rows=[[1, 255, 0, 0, *(nm / 1000 for nm in reversed(wavelengths))]],
    )
    assert load_readings([path]).reflectance[0].tolist() == [nm / 1000 for nm in wavelengths]


@pytest.mark.parametrize(
    ("wavelengths", "found"),
    [
        ([*range(400, 550, 10), *range(560, 710, 10)], "560 nm after 540 nm"),
        ([*range(400, 700, 10), 705], "705 nm after 690 nm"),
        (list(range(450, 710, 10)), "from 450 to 700 nm"),
        (list(range(400, 660, 10)), "from 400 to 650 nm"),
        (list(range(400, 710, 50)), "from 400 to 700 nm"),
        ([550], "1 wavelengths"),
    ],
)
def test_ranges_that_cannot_be_used(readings_file, wavelengths, found):
    with pytest.raises(MeasurementFileError) as caught:
        load_readings([readings_file(**parts(wavelengths))])
    assert found in caught.value.found
    assert caught.value.line == 4
    assert caught.value.fix


@pytest.mark.parametrize("name", ["SPECTRAL_NM{}", "SPECTRAL_PCT_{}"])
def test_percentages_become_factors(readings_file, name):
    readings = load_readings([readings_file(**parts(range(400, 710, 10), (1.5, 85.25, 104), name))])
    assert readings.reflectance[:, 0].tolist() == [0.015, 0.8525, 1.04]


def test_bright_paper_stays_a_factor(readings_file):
    assert load_readings([readings_file(**parts(range(400, 710, 10), (1.2, -0.01)))]).reflectance.max() == 1.2


@pytest.mark.parametrize(
    ("levels", "name", "line"),
    [
        ((0.5, 0.9, 2.5), "SPECTRAL_NM{}", 10),  # neither
        ((0.5, 0.9, 45.8), "SPECTRAL_NM{}", 10),  # one row with a lost point
        ((0.5, 0.9, 1.1), "SPECTRAL_PCT{}", 8),  # factors called percentages
        ((0.5, -0.2, 0.9), "SPECTRAL_NM{}", 9),
        ((50, 90, 250), "SPECTRAL_NM{}", 10),
        ((50, 90, -20), "SPECTRAL_NM{}", 10),
    ],
)
def test_values_no_print_has(readings_file, levels, name, line):
    with pytest.raises(MeasurementFileError) as caught:
        load_readings([readings_file(**parts(range(400, 710, 10), levels, name))])
    assert caught.value.line == line


def test_files_in_factors_and_in_percent(readings_file):
    first = readings_file("a.txt", **parts(range(400, 710, 10), (0.5,)))
    second = readings_file("b.txt", **parts(range(400, 710, 10), (50,)))
    with pytest.raises(MeasurementFileError, match="percentages, but reflectance factors"):
        load_readings([first, second])


def test_files_with_other_wavelengths(readings_file):
    first = readings_file("a.txt", **parts(range(400, 710, 10)))
    second = readings_file("b.txt", **parts(range(400, 710, 20)))
    with pytest.raises(MeasurementFileError, match="steps of 20 nm, but 400 to 700 nm"):
        load_readings([first, second])


def test_pairs_of_wavelength_and_value(readings_file):
    wavelengths = range(400, 710, 20)
    fields = [*DEVICE, *["SPECTRAL_NM", "SPECTRAL_DEC"] * len(wavelengths)]
    row = [1, 255, 0, 0, *(cell for nm in wavelengths for cell in (nm, nm / 1000))]
    path = readings_file(fields=fields, rows=[row, row])
    assert load_readings([path]).reflectance[1].tolist() == [nm / 1000 for nm in wavelengths]
    moved = [*row]
    moved[4] = 410
    with pytest.raises(MeasurementFileError, match="other wavelengths") as caught:
        load_readings([readings_file(fields=fields, rows=[row, moved])])
    assert caught.value.line == 9


def test_no_spectra(readings_file):
    path = readings_file(fields=[*DEVICE, "LAB_L", "LAB_A", "LAB_B"], rows=[[1, 255, 0, 0, 50, 1, 1]])
    with pytest.raises(MeasurementFileError, match="no spectra") as caught:
        load_readings([path])
    assert "Lab or XYZ alone" in caught.value.fix


@pytest.mark.parametrize("name", ["SPECTRL_NM400", "SPECTRAL_N400", "NMM400", "M4_SPECTRAL_NM400", "SPECTRAL_NM40O"])
def test_a_misspelt_band_is_not_left_out_in_silence(readings_file, name):
    changed = parts(range(400, 710, 10))
    changed["fields"][4] = name
    with pytest.raises(MeasurementFileError, match=f"the field {name}") as caught:
        load_readings([readings_file(**changed)])
    assert caught.value.line == 4
