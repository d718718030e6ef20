"""A damaged file is refused, or gives the numbers that stand in it; nothing else ever happens."""

import random
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.errors import MeasurementFileError, SpectroError
from spectro.files.cgats import parse_cgats_tables
from spectro.readings.load import measurements_of_files


def read(data: bytes):
    return measurements_of_files([("damaged.txt", parse_cgats_tables(data, "damaged.txt"))])


def table(rows: int = 6) -> list[str]:
    """An invented table as lines: the header's 6 lines, rows, END_DATA."""
    source = random.Random(1)
    names = [f"SPECTRAL_NM{nm}" for nm in range(400, 710, 20)]
    lines = ["CGATS.17", 'MEASUREMENT_SOURCE\t"MeasurementCondition=M0"', "NUMBER_OF_FIELDS\t21"]
    lines += ["BEGIN_DATA_FORMAT", "\t".join(["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", *names])]
    lines += ["END_DATA_FORMAT", f"NUMBER_OF_SETS\t{rows}", "BEGIN_DATA"]
    for index in range(rows):
        device = [255 if index == 0 else source.randrange(256) for _ in range(3)]
        spectrum = [f"{source.uniform(0.02, 0.95):.4f}" for _ in names]
        lines.append("\t".join([str(index + 1), f"red {index}", *map(str, device), *spectrum]))
    return [*lines, "END_DATA"]


LINES = table()
TEXT = "\n".join(LINES) + "\n"


@pytest.mark.parametrize("length", range(0, TEXT.index("END_DATA\n", TEXT.index("BEGIN_DATA\n")) + 8, 7))
def test_a_file_cut_anywhere_is_refused(length):
    with pytest.raises(MeasurementFileError) as caught:
        read(TEXT[:length].encode())
    assert caught.value.fix
    assert caught.value.line or length < 1


@pytest.mark.parametrize("column", range(21))
def test_a_value_missing_in_one_row_is_refused(column):
    lines = list(LINES)
    cells = lines[10].split("\t")
    del cells[column]
    lines[10] = "\t".join(cells)
    with pytest.raises(MeasurementFileError) as caught:
        read("\n".join(lines).encode())
    assert (caught.value.line, caught.value.found) == (11, "20 values")


@pytest.mark.parametrize("column", range(2, 21))
@pytest.mark.parametrize("cell", ["", "x", "nan", "-inf", "0.5.5", "1e", "--1", "0x10", "1 2", "9999"])
def test_a_value_that_is_no_number_or_wild_is_refused(column, cell):
    lines = list(LINES)
    cells = lines[10].split("\t")
    cells[column] = cell
    lines[10] = "\t".join(cells)
    with pytest.raises(MeasurementFileError) as caught:
        read("\n".join(lines).encode())
    assert caught.value.line == 11


@pytest.mark.parametrize("column", range(2, 21))
def test_a_column_missing_throughout_is_refused_or_leaves_the_rest(column):
    """The outermost bands can go: what is left is still a spectrum, and every value keeps its name."""
    lines = [
        "\t".join(cell for at, cell in enumerate(line.split("\t")) if at != column) if line.count("\t") > 5 else line
        for line in LINES
    ]
    if column in (5, 20):
        readings = read("\n".join(lines).encode())
        assert readings.reflectance.shape == (6, 15)
        assert readings.wavelengths[0] == (420 if column == 5 else 400)
    else:
        with pytest.raises(MeasurementFileError) as caught:
            read("\n".join(lines).encode())
        assert caught.value.line == 5


def independent(text: str) -> tuple[list[list[float]], list[list[float]]] | None:
    """A second parse, written without the first: device values and spectra of lines that look like rows, by name."""
    rows = [line.split("\t") for line in re.split(r"\r\n|\r|\n", text) if line.count("\t") >= 20]
    names = [name.strip() for name in rows[0]] if rows else []
    device = [at for last in "RGB" for at, name in enumerate(names) if name in (f"RGB_{last}", f"RGB{last}")]
    bands = sorted(
        (name[-3:], at) for at, name in enumerate(names) if re.fullmatch(r"SPECTRAL_?(NM)?_?\d{3}", name, re.IGNORECASE)
    )
    if len(device) < 3 or len(bands) < 15:
        return None
    try:
        return [[float(row[at]) for at in device] for row in rows[1:]], [
            [float(row[at]) for _, at in bands] for row in rows[1:]
        ]
    except (ValueError, IndexError):
        return None


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.integers(0, len(TEXT) - 1), st.sampled_from(["delete", "insert", "replace", "double"]),
                       st.sampled_from(list("0123456789.,-+eE\t \n\r\"#aN\x00\xe9"))),
             min_size=1, max_size=3)
)  # fmt: skip
def test_no_number_is_returned_that_is_not_in_the_file(edits):
    text = TEXT
    for place, what, character in edits:
        at = min(place, len(text) - 1)
        kept = {"delete": "", "insert": character + text[at], "replace": character, "double": text[at] * 2}[what]
        text = text[:at] + kept + text[at + 1 :]
    try:
        readings = read(text.encode("utf-8"))
    except SpectroError:
        return
    expected = independent(text)
    if expected is None or not expected[0]:  # the second parse is cruder; what both can read must agree
        return
    device, spectra = expected
    largest = max(max(row) for row in device)
    scale = 255 if largest > 100 else 100 if largest == 100 else 1
    assert readings.device * scale == pytest.approx(np.array(device))
    assert readings.reflectance.tolist() == spectra
