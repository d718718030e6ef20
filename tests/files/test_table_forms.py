"""Readings written in every form that is read: reading them gives the same readings back."""

from dataclasses import replace

import numpy as np
import pytest

from spectro.errors import InputError
from spectro.files.table_forms import table_bytes
from spectro.readings.content import read_tables
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.measurement import MeasurementSet

SUFFIXES = (".txt", ".csv", ".xlsx", ".cxf")


def readings(space="RGB", channels=3, *, placed=True, condition=MeasurementCondition.M1, count=30):
    """Invented readings whose numbers have as many digits as numbers can have."""
    rng = np.random.default_rng(4)
    nm = np.arange(400.0, 701, 10)
    device = np.round(rng.random((count, channels)) * 255) / 255 if space == "RGB" else rng.random((count, channels))
    device[0] = 1
    places = np.array([(1, row % 6 + 1, row // 6 + 1) for row in range(count)])
    return MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(count)),
        sample_names=tuple(f"{'ABCDEFGH'[row // 6]}{row % 6 + 1}" if placed else 'a "b", <c> & ü' for row in range(count)),
        colour_space=space, device=device, wavelengths=nm, reflectance=0.02 + 0.9 * rng.random((count, len(nm))),
        condition=condition, backing=Backing.WHITE, created="2026-05-04T10:00:00Z", instrument="an instrument, 45/0",
        description="a chart & its print", printed="2026-05-03T00:00:00Z", provenance="ab" * 32,
        positions=places if placed else np.zeros((0, 3), dtype=np.int64),
    )  # fmt: skip


@pytest.mark.parametrize("suffix", SUFFIXES)
@pytest.mark.parametrize(("space", "channels"), [("RGB", 3), ("CMYK", 4)])
@pytest.mark.parametrize("placed", [True, False])
def test_what_is_written_is_read_back_the_same(suffix, space, channels, placed, tmp_path):
    made = readings(space, channels, placed=placed)
    file = tmp_path / f"readings{suffix}"
    file.write_bytes(table_bytes(measurement_table(made), file))
    found = load_readings([file])
    for name in ("device", "wavelengths", "reflectance", "positions"):
        np.testing.assert_array_equal(getattr(found, name), getattr(made, name), err_msg=name)
    for name in (
        "sample_ids", "sample_names", "colour_space", "condition", "backing", "created", "printed", "instrument",
        "description", "provenance",
    ):  # fmt: skip
        assert getattr(found, name) == getattr(made, name), name


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_the_same_table_gives_the_same_bytes(suffix, tmp_path):
    made = [table_bytes(measurement_table(readings()), tmp_path / f"x{suffix}") for _ in range(2)]
    assert made[0] == made[1]


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_what_is_not_stated_stays_so(suffix, tmp_path):
    file = tmp_path / f"readings{suffix}"
    bare = replace(readings(condition=None), created=None, instrument="", description="")
    file.write_bytes(table_bytes(measurement_table(bare), file))
    found = load_readings([file])
    assert (found.condition, found.created, found.instrument, found.description) == (None, None, "", "")


@pytest.mark.parametrize("suffix", [".csv", ".xlsx"])
def test_a_long_history_stands_above_the_names_and_is_kept(suffix, tmp_path):
    file = tmp_path / f"readings{suffix}"
    history = [("REPAIRED", f"Strip A{number} was turned.") for number in range(90)]
    file.write_bytes(table_bytes(measurement_table(readings(), extra_header=history), file))
    (table,) = read_tables(file)
    (kept,) = [entry.value for entry in table.values("REPAIRED")]
    assert kept.startswith("Strip A0 was turned.; Strip A1 was turned.")
    assert kept.endswith("Strip A89 was turned.")


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_what_was_kept_in_doubt_is_not_lost_in_any_form(suffix, tmp_path):
    reason = "the sheet is <torn> & wet; found: strip B was kept"
    history = [
        ("QUESTIONABLE", "strip B"),
        ("READINGS_INSISTED_ON", reason),
        ("REPAIRED", "Strip A."),
        ("REPAIRED", "Strip C."),
    ]
    file = tmp_path / f"x{suffix}"
    file.write_bytes(table_bytes(measurement_table(readings(), extra_header=history), file))
    found = load_readings([file])
    assert found.left_out == tuple(f"B{row}" for row in range(1, 7))
    assert found.insisted == (reason,)
    (table,) = read_tables(file)
    assert [entry.value for entry in table.values("REPAIRED")] == ["Strip A.", "Strip C."]


def test_tags_of_other_programs_are_no_statements_of_ours(tmp_path):
    file = tmp_path / "x.cxf"
    data = table_bytes(measurement_table(readings()), file)
    file.write_bytes(data.replace(b"<cc:Creator>spectro<", b"<cc:Creator>another<"))
    found = load_readings([file])
    assert (found.backing, found.printed, found.condition) == (None, None, MeasurementCondition.M1)


def test_a_spreadsheet_is_read_by_another_program(tmp_path):
    import openpyxl

    file = tmp_path / "readings.xlsx"
    made = readings()
    file.write_bytes(table_bytes(measurement_table(made), file))
    sheet = openpyxl.load_workbook(file).active
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows[-1][0] == "30"
    assert rows[-1][-1] == made.reflectance[-1, -1]


def test_inks_that_the_exchange_format_has_no_place_for_are_refused(tmp_path):
    made = replace(readings("CMYK", 4), colour_space="5CLR", device=np.random.default_rng(1).random((30, 5)))
    with pytest.raises(InputError, match="5CLR"):
        table_bytes(measurement_table(made), tmp_path / "x.cxf")
