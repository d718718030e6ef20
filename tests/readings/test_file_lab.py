"""The Lab a file holds, with the light it says: what is 10° is not read as 2°."""

import numpy as np
import pytest

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.readings.content import read_tables
from spectro.readings.file_lab import file_lab, stated_light
from spectro.readings.load import load_readings


def load_file_lab(path):
    """The Lab of the one table of a file that states some."""
    (table,) = [one for one in read_tables(path) if len(file_lab(one, path).lab)]
    return file_lab(table, path)


TEN_DEGREES = ("cmyk-10deg/it874-1617-m1.txt", "cgats-quirks/space_separated_header_duplicate_keywords_10deg.txt")


@pytest.mark.common_practice("no source: limits of the difference are ours; the values are those of the check files")
@pytest.mark.parametrize("name", TEN_DEGREES)
def test_ten_degree_files_are_told_and_agree_with_their_spectra(check_data, name):
    """Lab computed for the light the file states is the file's own; for 2° it is not."""
    stated, readings = load_file_lab(check_data / name), load_readings([check_data / name])
    assert (stated.illuminant, stated.observer, str(stated.condition)) == ("D50", 10, "M1")
    lab = spectra_to_lab(readings.reflectance, readings.wavelengths, stated.illuminant, stated.observer)
    difference = delta_e_2000(lab, stated.lab)
    assert difference.mean() <= 0.02
    assert difference.max() <= 0.05
    assert np.median(delta_e_2000(spectra_to_lab(readings.reflectance, readings.wavelengths), stated.lab)) > 1.5


def by_id(stated):
    return dict(zip(stated.sample_ids, stated.lab.tolist(), strict=True))


@pytest.mark.source("ECI-FOGRA51-profile", "text of its targ tag")
def test_characterization_text_in_a_profile(check_data):
    """The profile's own text is that of FOGRA51, whose values are published too."""
    inside = load_file_lab(check_data / "icc" / "eci-fogra51-v2.icc")
    published = load_file_lab(check_data / "offset-coated-fogra51" / "fogra51-published.txt")
    assert (inside.illuminant, inside.observer, str(inside.condition)) == ("D50", 2, "M1")
    assert by_id(inside) == by_id(published)
    assert len(inside.lab) == 1617


@pytest.mark.source("CRPC7-reference-output", "the profile's private tag with an exchange file: first and second patch")
def test_exchange_file_in_a_profile(check_data):
    inside = load_file_lab(check_data / "icc" / "crpc7-v4.icc")
    assert inside.lab[:2].tolist() == [[97, 1, -4], [91.67, 8.45, -5.93]]
    assert (inside.illuminant, inside.observer, str(inside.condition)) == (None, None, "M1")
    assert len(inside.sample_ids) == 1617
    with pytest.raises(MeasurementFileError, match="no spectra"):
        load_readings([check_data / "icc" / "crpc7-v4.icc"])
    with pytest.raises(MeasurementFileError, match="without characterization data"):
        load_readings([check_data / "icc" / "generic-cmyk-v2.icc"])


def table(*header):
    entries = tuple(CgatsKeyword(*line.split(" ", 1), number + 1) for number, line in enumerate(header))
    return CgatsTable(signature="", header=entries, fields=("LAB_L",), rows=(), row_lines=())


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        (["WEIGHTING_FUNCTION ILLUMINANT, D65", "WEIGHTING_FUNCTION OBSERVER, 10 degree"], ("D65", 10)),
        (["OBSERVER_ANGLE 10"], (None, 10)),
        (["INSTRUMENTATION D50, 2 degree, geometry 45/0"], ("D50", 2)),
        (["ILLUMINANT A", "INSTRUMENTATION D50, 2 degree"], ("A", 2)),
        (["MEASUREMENT_SOURCE illuminant D50, observer 10 degree"], ("D50", 10)),
        (["ORIGINATOR Observer Street 2"], (None, None)),
        (["COMMENT 102 degrees"], (None, None)),
    ],
)
def test_statements_of_a_light(header, expected):
    assert stated_light(table(*header), "a.txt") == expected


def test_two_lights_are_refused():
    with pytest.raises(MeasurementFileError, match="D65 after illuminant D50") as caught:
        stated_light(table("ILLUMINANT D50", "ILLUMINANT D65"), "a.txt")
    assert caught.value.line == 2
