"""Files that were saved in an odd way, cut, or contradict themselves: read for what they are, or refused with the reason."""

import io
import logging
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from spectro.errors import InputError, MeasurementFileError, ReflectanceScaleError
from spectro.files.cxf import parse_cxf
from spectro.readings.content import tables_of_bytes
from spectro.readings.load import load_readings, load_spectra
from spectro.records.reading_options import ReadingOptions

NM = range(380, 740, 10)


def csv_text(device, spectra, *, names="{nm}", decimals=4, above="") -> str:
    """Return readings as CSV. device (n, 3) as written, spectra (n, 36)."""
    head = ",".join(["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(names.format(nm=nm) for nm in NM)])
    rows = [
        ",".join([str(number), *(f"{value:g}" for value in one), *(f"{value:.{decimals}f}" for value in spectrum)])
        for number, (one, spectrum) in enumerate(zip(device, spectra, strict=True), start=1)
    ]
    return above + "\n".join([head, *rows]) + "\n"


@pytest.fixture
def patches():
    random = np.random.default_rng(3)
    device = random.integers(0, 256, (40, 3))
    device[0] = 255
    spectra = 0.02 + 0.9 * (device.mean(axis=1, keepdims=True) / 255) ** 2 * random.uniform(0.9, 1, (40, 36))
    return device, spectra


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
@pytest.mark.parametrize("declared", ['<?xml version="1.0" encoding="UTF-8"?>', "<?xml version='1.0' encoding='utf-16'?>", ""])
def test_exchange_files_in_utf_16_are_read(encoding, mark, declared):
    text = f'{declared}<CxF xmlns="http://colorexchangeformat.com/CxF3-core"><Resources/></CxF>'
    assert parse_cxf((mark + text).encode(encoding), "file.cxf").objects == ()


def test_damaged_utf_16_is_refused():
    text = '<?xml version="1.0"?><CxF xmlns="http://colorexchangeformat.com/CxF3-core"/>'.encode("utf-16-le")
    with pytest.raises(MeasurementFileError, match="UTF-16"):
        parse_cxf(text + b"\x00\xd8", "file.cxf")


def test_a_csv_that_stops_inside_its_last_number_is_refused(tmp_path, patches):
    whole = csv_text(*patches)
    path = tmp_path / "cut.csv"
    for cut in (2, 3, 4):  # the line end and one to three digits
        path.write_text(whole[:-cut], "utf-8")
        with pytest.raises(MeasurementFileError, match="end of the file"):
            load_readings([path])
    path.write_text(whole[:-1], "utf-8")  # whole, but for its line end
    assert len(load_readings([path])) == 40
    path.write_text(whole[:-3] + "\n", "utf-8")  # a short number with its line end
    assert len(load_readings([path])) == 40


def test_a_short_number_without_a_line_end_is_said_where_it_may_be_whole(tmp_path, patches, caplog):
    head, *rows = csv_text(*patches).rstrip("\n").split("\n")
    rows = [head, *(row.rstrip("0") for row in rows)]
    for row in (5, 9, -1):
        rows[row] = rows[row].rpartition(",")[0] + ",0.305"
    path = tmp_path / "short.csv"
    path.write_text("\n".join(rows), "utf-8")
    with caplog.at_level(logging.WARNING, logger="spectro"):
        assert len(load_readings([path])) == 40
    assert "without a line end" in caplog.text


def test_percentages_of_dark_patches_are_not_read_as_factors(tmp_path):
    """Ours: twelve dark patches of a glossy print, invented after how such patches read."""
    random = np.random.default_rng(1)
    device, percent = random.integers(0, 40, (12, 3)), random.uniform(0.4, 1.9, (12, 36))
    device[3] = (120, 0, 0)
    path = tmp_path / "dark.csv"
    path.write_text(csv_text(device, percent, decimals=2), "utf-8")
    with pytest.raises(ReflectanceScaleError, match="SPECTRAL_PCT"):
        load_spectra([path])
    with pytest.raises(ReflectanceScaleError):
        load_readings([path], ReadingOptions(device_scale=255))
    path.write_text(csv_text(device, percent, decimals=2, names="SPECTRAL_PCT{nm}"), "utf-8")
    read = load_readings([path], ReadingOptions(device_scale=255))
    np.testing.assert_allclose(read.reflectance, np.round(percent, 2) / 100, atol=1e-12)
    path.write_text(csv_text(device, percent / 100, decimals=4), "utf-8")
    assert load_readings([path], ReadingOptions(device_scale=255)).reflectance.max() < 0.02


def test_spectra_above_any_white_are_not_read_as_factors(tmp_path):
    path = tmp_path / "bright.csv"
    path.write_text(csv_text(np.full((5, 3), 30), np.full((5, 36), 1.4), decimals=2).replace("RGB_", "COLUMN_"), "utf-8")
    with pytest.raises(ReflectanceScaleError, match="any paper"):
        load_spectra([path])


@pytest.mark.parametrize(
    ("header", "fields", "right"), [("M0", "M2_{nm}", False), ("M2", "M2_{nm}", True), ("M0", "{nm}", True)]
)
def test_a_header_that_contradicts_its_fields_is_refused(tmp_path, patches, header, fields, right):
    path = tmp_path / "readings.csv"
    path.write_text(csv_text(*patches, names=fields, above=f"Measurement condition: {header}\n"), "utf-8")
    if right:
        assert load_readings([path]).condition == header
        return
    for options in (ReadingOptions(), ReadingOptions(condition="M2")):
        with pytest.raises(MeasurementFileError, match="M0 in the header and M2"):
            load_readings([path], options)


def test_a_truth_value_of_a_spreadsheet_is_no_number(patches):
    book = openpyxl.Workbook()
    rows = [line.split(",") for line in csv_text(*patches).rstrip("\n").split("\n")]
    book.active.append(rows[0])
    for row in rows[1:]:
        book.active.append([float(cell) for cell in row])
    book.active["F4"] = True
    stream = io.BytesIO()
    book.save(stream)
    with pytest.raises(MeasurementFileError, match="'TRUE' as 390"):
        tables_of_bytes(stream.getvalue(), "book.xlsx")


def test_more_readings_than_any_print_has_are_refused_where_they_are_judged(tmp_path, monkeypatch, patches):
    monkeypatch.setattr("spectro.readings.load.MOST_READINGS", 30)
    path = tmp_path / "many.csv"
    path.write_text(csv_text(*patches), "utf-8")
    with pytest.raises(InputError, match="40 readings"):
        load_readings([path])
    assert len(load_spectra([path])) == 40


def test_a_pipe_is_no_file_of_readings(tmp_path):
    with pytest.raises(MeasurementFileError, match="a folder"):
        load_readings([Path(tmp_path)])
