"""Folders' and people's names are taken out of what is given away; numbers stay as they are."""

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.files.shelf_pack import (
    spreadsheet_without_private_words,
    without_private_text,
    without_private_words,
)

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("/home/ann/charts/r.txt", "r.txt"),
        ('"/Users/Ann Other/My charts/r.txt"', '"r.txt"'),
        ("C:\\Users\\Ann Other\\r.txt", "r.txt"),
        ("D:/work/ann/r.txt", "r.txt"),
        ('{"file": "C:\\\\Users\\\\ann\\\\r.txt"}', '{"file": "r.txt"}'),
        ("\\\\server\\ann\\r.txt", "r.txt"),
        ("file:///home/ann/r.txt", "r.txt"),
        ("~/ann/r.txt", "r.txt"),
        ("at /home/ann", "at (a folder)"),
        ('absPath url="C:\\Users\\ann\\"', 'absPath url="(a folder)"'),
        ("source=/srv/ann/r.txt", "source=r.txt"),
        ('OPERATOR "Ann Other"', 'OPERATOR "withheld"'),
        ("ORIGINATOR\tAnn", 'ORIGINATOR\t"withheld"'),
        ("<cc:Creator>Ann</cc:Creator>", "<cc:Creator>withheld</cc:Creator>"),
        ("<dc:creator>Ann</dc:creator>", "<dc:creator>withheld</dc:creator>"),
    ],
)
def test_what_is_private_goes(text, left):
    assert without_private_text(text) == left
    assert without_private_text(left) == left


@pytest.mark.parametrize(
    "text",
    [
        "1/2/2026 and 3/4",
        "D50/2°, mean / p95 / max, g/m²",
        "https://example.org/a/b/c",
        "</div><p>and/or</p>",
        "data:image/png;base64,/9j/4AAQ/Sk+/abc/def==",
        '<path d="M 1 2 L 3 4 /"/>',
        'ORIGINATOR "spectro"',
        "INSTRUMENTATION none",
        "-0.5 0.25 1e-5",
    ],
)
def test_what_is_not_private_stays(text):
    assert without_private_text(text) == text


def test_readings_of_our_own_stay_byte_for_byte():
    for path in (ROOT / "demo_measurements").glob("*.txt"):
        data = path.read_bytes()
        assert without_private_words(data) == (data, False)


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1", "utf-16"])
def test_every_encoding_is_cleaned_and_kept(encoding):
    text = 'DESCRIPTOR "Büro /home/ann/übung/r.txt"\r\n1\t2\r\n'
    data, changed = without_private_words(text.encode(encoding))
    assert changed
    assert data.decode(encoding) == 'DESCRIPTOR "Büro r.txt"\r\n1\t2\r\n'


@given(st.lists(st.floats(allow_nan=False).map(repr), min_size=1), st.sampled_from(["\t", " ", ";", ","]))
def test_rows_of_numbers_never_change(cells, between):
    text = between.join(cells)
    assert without_private_text(text) == text


@given(st.binary(max_size=300))
def test_any_bytes_come_through(data):
    cleaned, changed = without_private_words(data)
    assert changed == (cleaned != data)


def test_a_spreadsheet_keeps_its_cells_and_loses_its_owner():
    book = openpyxl.Workbook()
    book.properties.creator = "Ann Other"
    book.active.append(["SAMPLE_ID", "path"])
    book.active.append([1.25, "/home/ann/r.txt"])
    stream = io.BytesIO()
    book.save(stream)
    data, changed = spreadsheet_without_private_words(stream.getvalue())
    assert changed
    parts = zipfile.ZipFile(io.BytesIO(data))
    assert not any(b"Ann" in parts.read(name) or b"/ann" in parts.read(name) for name in parts.namelist())
    read = openpyxl.load_workbook(io.BytesIO(data))
    assert [[cell.value for cell in row] for row in read.active.rows] == [["SAMPLE_ID", "path"], [1.25, "r.txt"]]
    assert spreadsheet_without_private_words(data) == (data, False)
    with pytest.raises(ValueError):
        spreadsheet_without_private_words(b"PK no spreadsheet")
