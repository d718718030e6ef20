"""Readings in CxF3, CSV, spreadsheets and profiles: real files, hostile ones, and columns that must be named."""

import re
import zipfile

import numpy as np
import openpyxl
import pytest

from spectro.errors import MeasurementFileError, SpectroError
from spectro.readings.load import load_readings
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions

FIELDS = ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(f"SPECTRAL_NM{nm}" for nm in range(400, 701, 20))]
ROWS = [[str(i), 255 - i, i * 3, 128, *(round(0.05 + 0.001 * i + 0.002 * k, 4) for k in range(16))] for i in range(20)]


@pytest.mark.source("Balci-2025", "the glossy chart as ISO 17972 with M0, M2 and targets, and as text")
@pytest.mark.parametrize("condition", ["M0", "M2"])
def test_cxf_holds_what_the_text_files_hold(check_data, condition):
    path = check_data / "cxf-samples" / "real_rgb_680_m0_m2.cxf"
    read = load_readings([path], ReadingOptions(condition=MeasurementCondition(condition)))
    text = load_readings([check_data / "photo-inkjet-glossy" / f"chart-680-{condition.lower()}.txt"])
    assert len(read) == 680
    assert read.condition == condition
    np.testing.assert_allclose(read.reflectance, text.reflectance, atol=1e-4)
    np.testing.assert_array_equal(read.device, text.device)
    with pytest.raises(MeasurementFileError, match="`measurement_condition`"):
        load_readings([path])


@pytest.mark.source("ISO-28178", "small CxF3 files of a public library: read, or refused with a message")
def test_every_cxf_sample_is_read_or_refused(check_data):
    paths = sorted((check_data / "cxf-samples").glob("*.cxf"))
    assert len(paths) == 16
    for path in paths:
        if path.name.startswith("real"):
            assert len(load_readings([path], ReadingOptions(condition=MeasurementCondition.M0))) == 680
        else:  # none of the small ones holds device values with spectra
            with pytest.raises(MeasurementFileError, match=r"found .*expected .*\. "):
                load_readings([path], ReadingOptions(condition=MeasurementCondition.M0))


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_csv_is_read_value_by_value(tmp_path, separator, encoding):
    text = "\n".join(separator.join(map(str, row)) for row in [FIELDS, *ROWS]) + "\n"
    (tmp_path / "readings.csv").write_text(text, encoding)
    read = load_readings([tmp_path / "readings.csv"])
    np.testing.assert_allclose(read.device * 255, [row[1:4] for row in ROWS], atol=1e-9)
    np.testing.assert_array_equal(read.reflectance, [row[4:] for row in ROWS])


def test_spreadsheet_is_read_value_by_value(tmp_path):
    book = openpyxl.Workbook()
    for row in [FIELDS, *ROWS]:
        book.active.append(row)
    book.save(tmp_path / "readings.xlsx")
    read = load_readings([tmp_path / "readings.xlsx"])
    np.testing.assert_array_equal(read.reflectance, [row[4:] for row in ROWS])


def test_cells_without_addresses_follow_one_another(tmp_path):
    """ISO/IEC 29500-1 lets a cell leave out its address; a row that mixes both ways is refused."""
    book = openpyxl.Workbook()
    for row in [FIELDS, *ROWS]:
        book.active.append(row)
    book.save(tmp_path / "whole.xlsx")
    for name, pattern in (("bare.xlsx", rb'<c r="[A-Z]+[0-9]+"'), ("mixed.xlsx", rb'<c r="B[0-9]+"')):
        with zipfile.ZipFile(tmp_path / "whole.xlsx") as whole, zipfile.ZipFile(tmp_path / name, "w") as changed:
            for part in whole.namelist():
                content = whole.read(part)
                changed.writestr(part, re.sub(pattern, b"<c", content) if "sheet1" in part else content)
    np.testing.assert_array_equal(load_readings([tmp_path / "bare.xlsx"]).reflectance, [row[4:] for row in ROWS])
    with pytest.raises(MeasurementFileError, match="address ''"):
        load_readings([tmp_path / "mixed.xlsx"])


def test_columns_can_be_named(tmp_path):
    names = ["SAMPLE_ID", "rot", "gruen", "blau", *FIELDS[4:]]
    text = "\n".join(",".join(map(str, row)) for row in [names, *ROWS]) + "\n"
    (tmp_path / "named.csv").write_text(text, "utf-8")
    with pytest.raises(MeasurementFileError, match="`columns`"):
        load_readings([tmp_path / "named.csv"])
    read = load_readings([tmp_path / "named.csv"], ReadingOptions(columns={"RGB_R": "rot", "RGB_G": "gruen", "RGB_B": "blau"}))
    np.testing.assert_allclose(read.device * 255, [row[1:4] for row in ROWS], atol=1e-9)


def test_hostile_files_are_refused(tmp_path):
    bomb = '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "x"><!ENTITY c "&b;&b;&b;">]><CxF>&c;</CxF>'
    (tmp_path / "bomb.cxf").write_text(bomb, "utf-8")
    with zipfile.ZipFile(tmp_path / "bomb.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", b"0" * 400_000_000)
    (tmp_path / "cut.xlsx").write_bytes(b"PK\x03\x04 not really")
    (tmp_path / "cut.cxf").write_text(
        "<?xml version='1.0'?><CxF xmlns='http://colorexchangeformat.com/CxF3-core'><Res", "utf-8"
    )
    for name in ("bomb.cxf", "bomb.xlsx", "cut.xlsx", "cut.cxf"):
        with pytest.raises(SpectroError):
            load_readings([tmp_path / name])
