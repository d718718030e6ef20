"""Lines of text: each form of the grammar, CGATS rows, and errors that name the line and end nothing."""

import numpy as np
import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.line_events import Again, Answered, EndOfStrip, Facts, Pause, Reading, StripName, White
from spectro.readings.line_grammar import LineParser
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.sitting import Answer

SPECTRUM = " ".join(f"{value:.4f}" for value in np.linspace(0.1, 0.9, 16))


def parser(**options) -> LineParser:
    made = LineParser("lines", **options)
    made.take(b"wavelengths 400 700 20\n")
    return made


def one(made, text):
    (event,) = made.take(text.encode() + b"\n")
    return event


@pytest.mark.parametrize(
    ("line", "event"),
    [
        ("instrument My own, 45/0", Facts(instrument="My own, 45/0")),
        ("serial 12 34", Facts(serial="12 34")),
        ("condition M2", Facts(condition=MeasurementCondition.M2)),
        ("backing black", Facts(backing=Backing.BLACK)),
        ("strip AA", StripName("AA")),
        ("page 2", StripName("page 2")),
        ("anchors", StripName("anchors")),
        ("end", EndOfStrip()),
        ("again", Again()),
        ("white", White()),
        ("pause", Pause()),
        ("answer turn", Answered(Answer.TURN)),
    ],
)
def test_every_word(line, event):
    assert one(parser(), line) == event
    assert one(parser(), f"  {line}\t\r") == event


def test_spectra():
    made = parser()
    reading = one(made, SPECTRUM)
    assert isinstance(reading, Reading)
    assert (reading.patch, len(reading.wavelengths)) == ("", 16)
    assert reading.reflectance[0] == 0.1
    assert one(made, f"patch A1 {SPECTRUM}").patch == "A1"
    made.take(b"scale percent\n")
    np.testing.assert_allclose(one(made, " ".join(["50"] * 16)).reflectance, 0.5)
    assert made.take(b"# a comment\n") == ()
    assert made.take(b"\n") == ()


CGATS = [
    "CGATS.17", 'INSTRUMENTATION "an instrument, M1"', "NUMBER_OF_FIELDS 18", "BEGIN_DATA_FORMAT",
    "SAMPLE_ID SAMPLE_NAME " + " ".join(f"SPECTRAL_NM{nm}" for nm in range(400, 710, 20)), "END_DATA_FORMAT", "BEGIN_DATA",
]  # fmt: skip


def test_cgats_rows_are_taken_one_by_one():
    made = LineParser("lines")
    said = [event for line in CGATS for event in made.take(line.encode() + b"\n")]
    assert Facts(instrument="an instrument, M1", condition=MeasurementCondition.M1) in said
    reading = one(made, f"7 B3 {SPECTRUM}")
    assert (reading.patch, reading.sample_id, reading.reflectance[-1]) == ("B3", "7", 0.9)
    with pytest.raises(MeasurementFileError, match=r"lines:9: found .* expected 18"):
        made.take(b"8 B4 0.5 0.5\n")
    assert one(made, f"8 B4 {SPECTRUM}").patch == "B4"
    assert one(made, "END_DATA") == EndOfStrip()
    assert one(made, "strip B") == StripName("B")


@pytest.mark.parametrize(
    ("line", "found", "fix"),
    [
        ("0.5 0.5", "2 numbers", "Read this patch"),
        (SPECTRUM.replace(".", ","), "'0,1000' as number 1", "decimal points"),
        (f"patch A1 {SPECTRUM.replace('.', ',')}", "'0,1000' as number 1", "decimal points"),
        (f"patch A1 {SPECTRUM.replace('0.9000', 'nan')}", "'nan' as number 16", ""),
        (SPECTRUM.replace("0.9000", "90"), "90 as reflectance", "scale percent"),
        (SPECTRUM.replace("0.9000", "-0.2"), "-0.2 as reflectance", ""),
        ("wavelengths 400 700 70", "wavelengths 400 to 700", "Correct"),
        ("wavelengths 500 700 10", "wavelengths 500 to 700", "Correct"),
        ("condition M4", "condition M4", "Correct"),
        ("condition", "condition", "Correct"),
        ("answer maybe", "answer maybe", "Correct"),
        ("strip", "strip", "Correct"),
        ("strip A B", "strip A B", "Correct"),
        ("patch A1", "patch without", "one line"),
        ("Hello", "the word 'Hello'", "Correct"),
        (SPECTRUM.replace("0.1", "O.1", 1), "the word 'O.1", "send it again"),
        ("NAN 0.5 0.5", "the word 'NAN'", "send it again"),
        ("BEGIN_DATA", "BEGIN_DATA without field names", "field names"),
        ("END_DATA", "END_DATA", "Send the table"),
        ("x" * 30000, "30001 bytes", "one spectrum a line"),
    ],
)
def test_errors_name_line_finding_and_fix(line, found, fix):
    made = parser()
    with pytest.raises(MeasurementFileError) as caught:
        made.take(line.encode() + b"\n")
    assert caught.value.line == 2
    assert found in caught.value.found
    assert fix in caught.value.fix
    assert one(made, "white") == White()  # the lines behind are read on
    assert isinstance(one(made, SPECTRUM), Reading)


def test_bytes_that_are_no_text_and_numbers_before_wavelengths():
    with pytest.raises(MeasurementFileError, match="no UTF-8"):
        parser().take(b"\xff\xfe0.5\n")
    with pytest.raises(MeasurementFileError, match="before any wavelengths"):
        LineParser("lines").take(SPECTRUM.encode())


def test_conditions_in_field_names_are_picked_and_not_mixed():
    fields = " ".join(f"M{m}_NM{nm}" for m in (0, 2) for nm in range(400, 710, 20))
    lines = ["BEGIN_DATA_FORMAT", f"SAMPLE_NAME {fields}", "END_DATA_FORMAT", "BEGIN_DATA"]
    row = f"A1 {SPECTRUM} {' '.join(['0.25'] * 16)}".encode()
    made = LineParser("lines", condition=MeasurementCondition.M2)
    for line in lines:
        made.take(line.encode())
    (reading,) = made.take(row)
    assert set(reading.reflectance) == {0.25}
    unsaid = LineParser("lines")
    for line in lines:
        unsaid.take(line.encode())
    with pytest.raises(MeasurementFileError, match="`measurement_condition`"):
        unsaid.take(row)
