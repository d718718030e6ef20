"""Measurement condition and backing: what the file states, never a default."""

import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.load import load_readings
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.reading_options import ReadingOptions

pytestmark = pytest.mark.source("ISO-13655-2017", "measurement conditions and backing; the data is invented")
M0, M1, M2 = MeasurementCondition.M0, MeasurementCondition.M1, MeasurementCondition.M2


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ((), None),
        (('MEASUREMENT_SOURCE "MeasurementCondition=M0"',), M0),
        (('MEASUREMENT_SOURCE "MeasurementCondition=M1\tFilter=D50"', 'FILTER "D50"'), M1),
        (("MEASUREMENT_CONDITION\tM2\t\t",), M2),
        (('FILTER\t"M1"',), M1),
        (('FILTER\t"UVcut"', 'MEASUREMENT_SOURCE "D50, no filter"'), None),
        (('INSTRUMENTATION "D50, 2 degree, according to ISO 13655:2009 M1"',), M1),
        (('INSTRUMENTATION "reads M0, M1, M2"',), None),
        (('INSTRUMENTATION "reads M0, M1, M2"', "MEASUREMENT_CONDITION M2"), M2),
        (('an instrument"Mode=Reflection,Measurement Condition=M1,Aperture=6"',), M1),
        (('INSTRUMENTATION "model XM1"',), None),
    ],
)
def test_what_the_header_states(readings_file, header, expected):
    assert load_readings([readings_file(header=header)]).condition == expected


def test_two_statements_that_differ(readings_file):
    path = readings_file(header=("MEASUREMENT_CONDITION M2", 'INSTRUMENTATION "M1"'))
    with pytest.raises(MeasurementFileError, match="M1 after MEASUREMENT_CONDITION with M2") as caught:
        load_readings([path])
    assert caught.value.line == 3


def test_the_option_supplies_what_is_not_stated(readings_file):
    assert load_readings([readings_file()], ReadingOptions(condition=M2)).condition == M2


def test_the_option_must_not_contradict(readings_file):
    path = readings_file(header=("MEASUREMENT_CONDITION M2",))
    assert load_readings([path], ReadingOptions(condition=M2)).condition == M2
    with pytest.raises(MeasurementFileError, match="found readings of M2; expected M0"):
        load_readings([path], ReadingOptions(condition=M0))


def test_several_tables_in_one_file(readings_file, readings_text):
    second = readings_text(header=("MEASUREMENT_CONDITION M2",)).replace("0.0200", "0.0300")
    path = readings_file(text=readings_text(header=("MEASUREMENT_CONDITION M0",)) + second)
    with pytest.raises(MeasurementFileError, match="M0, M2") as caught:
        load_readings([path])
    assert "`measurement_condition`" in caught.value.fix
    assert load_readings([path], ReadingOptions(condition=M0)).reflectance[0, 0] == 0.02
    chosen = load_readings([path], ReadingOptions(condition=M2))
    assert (len(chosen), chosen.condition, chosen.reflectance[0, 0]) == (4, M2, 0.03)
    with pytest.raises(MeasurementFileError, match="expected M1"):
        load_readings([path], ReadingOptions(condition=M1))


def test_a_table_without_a_statement_beside_one_with(readings_file, readings_text):
    silent = readings_text(header=('ORIGINATOR "x"',))
    path = readings_file(text=readings_text(header=("MEASUREMENT_CONDITION M0",)) + silent)
    with pytest.raises(MeasurementFileError, match="some that state none"):
        load_readings([path])
    assert len(load_readings([path], ReadingOptions(condition=M0))) == 4


def test_pages_of_one_condition_in_one_file(readings_file, readings_text):
    page = readings_text(header=("MEASUREMENT_CONDITION M0",))
    again = page[page.index("BEGIN_DATA\n") :].replace("\n1\t", "\n5\t").replace("\n2\t", "\n6\t")
    readings = load_readings([readings_file(text=page + again.replace("\n3\t", "\n7\t").replace("\n4\t", "\n8\t"))])
    assert readings.sample_ids == tuple("12345678")
    assert readings.condition == M0


def test_conditions_in_field_names(readings_file):
    bands = range(400, 710, 20)
    fields = ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(f"{m}_SPECTRAL_NM{nm}" for m in ("M0", "M1") for nm in bands)]
    rows = [[index, index * 100, 0, 255, *[0.1] * 16, *[0.2] * 16] for index in range(3)]
    path = readings_file(fields=fields, rows=rows)
    assert load_readings([path], ReadingOptions(condition=M1)).reflectance.tolist() == [[0.2] * 16] * 3
    assert load_readings([path], ReadingOptions(condition=M0)).reflectance.tolist() == [[0.1] * 16] * 3
    with pytest.raises(MeasurementFileError, match="M0, M1"):
        load_readings([path])


def test_conditions_row_by_row(readings_file):
    bands = range(400, 710, 20)
    fields = ["SAMPLE_ID", "MEASUREMENT_CONDITION", "RGB_R", "RGB_G", "RGB_B", *(f"nm{nm}" for nm in bands)]
    rows = [[1, m, 255, 0, 0, *[level] * 16] for m, level in (("M0", 0.1), ("M2", 0.3))]
    path = readings_file(fields=fields, rows=rows)
    readings = load_readings([path], ReadingOptions(condition=M2))
    assert (len(readings), readings.condition, readings.reflectance[0, 0]) == (1, M2, 0.3)
    wrong = readings_file(fields=fields, rows=[[1, "M7", 255, 0, 0, *[0.1] * 16]])
    with pytest.raises(MeasurementFileError, match="'M7'"):
        load_readings([wrong])


def test_files_that_differ(readings_file):
    stated = readings_file("a.txt", header=("MEASUREMENT_CONDITION M0",))
    other = readings_file("b.txt", header=("MEASUREMENT_CONDITION M1",))
    silent = readings_file("c.txt")
    for second in (other, silent):
        with pytest.raises(MeasurementFileError, match="but M0") as caught:
            load_readings([stated, second])
        assert caught.value.path == second
    assert load_readings([stated, silent], ReadingOptions(condition=M0)).condition == M0


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ((), None),
        (('SAMPLE_BACKING "white"',), Backing.WHITE),
        (('SAMPLE_BACKING "Black, ISO 5-4"',), Backing.BLACK),
        (('INSTRUMENTATION "geometry 45/0, white backing"',), Backing.WHITE),
        (('MEASUREMENT_SOURCE "Backing=Black"',), Backing.BLACK),
        (('MEASUREMENT_SOURCE "WhiteBase=Abs"',), None),
    ],
)
def test_backing(readings_file, header, expected):
    assert load_readings([readings_file(header=header)]).backing == expected


def test_backings_are_never_merged(readings_file):
    white = readings_file("a.txt", header=("SAMPLE_BACKING white",))
    black = readings_file("b.txt", header=("SAMPLE_BACKING black",))
    silent = readings_file("c.txt")
    with pytest.raises(MeasurementFileError, match="black backing, but white"):
        load_readings([white, black])
    assert load_readings([white, silent]).backing is None
    both = readings_file("d.txt", header=("SAMPLE_BACKING white", 'INSTRUMENTATION "black backing"'))
    with pytest.raises(MeasurementFileError, match="black backing after white"):
        load_readings([both])


def test_the_newest_date_and_the_instruments(readings_file):
    first = readings_file(
        "a.txt", header=('DESCRIPTOR "first"', 'CREATED "2024-05-01 10:00"', 'INSTRUMENTATION "one"', "DATE 2024-05-03")
    )
    second = readings_file("b.txt", header=('MEASUREMENT_DATE "May 2, 2024"', 'INSTRUMENTATION "two"', 'CREATED "x"'))
    readings = load_readings([first, second])
    assert readings.created == "2024-05-03T00:00:00Z"
    assert readings.instrument == "one; two"
    assert readings.origin == "a.txt, b.txt"
    assert readings.description == "first"
