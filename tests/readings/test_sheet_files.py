"""Parts of one chart, repeat readings of one print and further sheets are told apart by charts, recipes and dates."""

import numpy as np
import pytest

from spectro.files.cgats import pack_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.measurement import MeasurementSet
from spectro.records.print_sheets import SheetRole
from spectro.records.reading_options import ReadingOptions

DEVICE = np.random.default_rng(1).integers(0, 256, (40, 3)) / 255


def file(folder, name, rows, *, first=1, chart="", printed=None, lighter=0.0, sheets=()):
    ids = tuple(str(first + at) for at in range(len(rows)))
    device = DEVICE[list(rows)]
    readings = MeasurementSet(
        sample_ids=ids, sample_names=("",) * len(ids), colour_space="RGB", device=device,
        wavelengths=np.arange(380.0, 731.0, 10.0),
        reflectance=0.05 + lighter + 0.8 * device.mean(axis=1)[:, None] * np.ones(36), printed=printed,
        sheets=np.array(sheets, dtype=np.int64),
    )  # fmt: skip
    header = [("KEYWORD", "CHART_ID"), ("CHART_ID", chart)] if chart else []
    path = folder / name
    path.write_bytes(pack_cgats(measurement_table(readings, extra_header=header)).encode("ascii"))
    return path


def told(*paths, said=()):
    found = load_readings(paths, ReadingOptions(another_sheet=tuple(said)))
    return [(part.sheet, part.role) for part in found.parts], found


@pytest.mark.common_practice("no source: how files of one printing condition are told apart")
def test_files_are_told_apart(tmp_path):
    first = file(tmp_path, "first.txt", range(20), chart="0a1b2c3d")
    part = file(tmp_path, "part.txt", range(20, 40), chart="0a1b2c3d")
    again = file(tmp_path, "again.txt", range(20), chart="0a1b2c3d", lighter=0.03)
    later = file(tmp_path, "later.txt", range(20), chart="0a1b2c3d", printed="2026-03-01T00:00:00Z", lighter=0.002)
    dated = file(tmp_path, "dated.txt", range(20), chart="0a1b2c3d", printed="2026-01-01T00:00:00Z")
    other = file(tmp_path, "other.txt", range(20, 40), chart="99999999", lighter=0.001)
    assert told(first, part)[0] == [(1, SheetRole.FIRST), (1, SheetRole.PART)]
    roles, found = told(first, part, again)
    assert roles[2] == (1, SheetRole.REPEAT)
    assert found.parts[2].apart > 0.5  # said, so that a person can see that it may be another print
    assert told(first, other)[0][1] == (2, SheetRole.FURTHER)
    assert told(dated, later)[0][1] == (2, SheetRole.FURTHER)
    assert told(first, said=[again])[0][1] == (2, SheetRole.SAID)
    roles, found = told(first, other, part)
    assert roles[2] == (1, SheetRole.PART)
    assert found.sheets.tolist() == [1] * 20 + [2] * 20 + [1] * 20


@pytest.mark.common_practice("no source: files of other makers carry no identity of a chart")
def test_files_without_a_chart_are_told_apart_by_ids_and_recipes(tmp_path):
    first = file(tmp_path, "first.txt", range(20))
    goes_on = file(tmp_path, "goes-on.txt", range(20, 40), first=21)
    anew = file(tmp_path, "anew.txt", range(20, 40))
    again = file(tmp_path, "again.txt", range(5, 15), first=1)
    assert told(first, goes_on)[0][1] == (1, SheetRole.PART)
    assert told(first, anew)[0][1] == (2, SheetRole.FURTHER)
    assert told(first, again)[0][1] == (1, SheetRole.REPEAT)
    alone = load_readings([first])
    assert (len(alone.sheets), alone.parts) == (0, ())


@pytest.mark.common_practice("no source: what is written is read again")
def test_sheets_are_kept_in_our_own_files(tmp_path):
    kept = file(tmp_path, "kept.txt", range(20), sheets=[1] * 12 + [2] * 8)
    roles, found = told(kept)
    assert found.sheets.tolist() == [1] * 12 + [2] * 8
    assert roles == [(1, SheetRole.FIRST), (2, SheetRole.FURTHER)]
    assert told(file(tmp_path, "new.txt", range(20, 40)), kept)[1].sheets.max() == 3
