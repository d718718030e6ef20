"""Real readings: rows, cells and conditions as they stand in the check files, copied by eye."""

import numpy as np
import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions

TO_730 = np.arange(380, 740, 10)


@pytest.mark.source("Balci-2025", "glossy and matte charts, first rows and counts")
@pytest.mark.parametrize(
    ("name", "count", "recipes", "condition", "first_id", "device", "first_bands"),
    [
        ("photo-inkjet-glossy/chart-680-m0.txt", 680, 674, "M0", "210", (0, 36, 36), (0.0101, 0.0108, 0.0103)),
        ("photo-inkjet-glossy/chart-680-m2.txt", 680, 674, "M2", "210", (0, 36, 36), (0.0099,)),
        ("photo-inkjet-matte/chart-a-2033-m0.txt", 2033, 2027, "M0", "1", (23, 212, 255), (0.4575, 0.4876)),
        ("photo-inkjet-matte/chart-a-2033-m2.txt", 2033, 2027, "M2", "1", (23, 212, 255), (0.4568,)),
        ("photo-inkjet-matte/chart-b-2420-m0.txt", 2420, 2390, "M0", "1", (255, 255, 255), (0.7287, 0.7884)),
        ("photo-inkjet-matte/chart-b-2420-m2.txt", 2420, 2390, "M2", "1", (255, 255, 255), (0.7260,)),
    ],
)
def test_photo_inkjet(check_data, name, count, recipes, condition, first_id, device, first_bands):
    readings = load_readings([check_data / name])
    assert len(readings) == count
    assert readings.condition == MeasurementCondition(condition)
    assert readings.colour_space == "RGB"
    assert readings.sample_ids[0] == first_id
    assert readings.device[0].tolist() == [value / 255 for value in device]
    assert readings.reflectance[0, : len(first_bands)].tolist() == list(first_bands)
    assert readings.wavelengths.tolist() == TO_730.tolist()
    assert (readings.backing, readings.created, readings.positions.shape) == (None, None, (0, 3))
    assert len(average_repeats(readings)) == recipes  # distinct triples counted with sort -u


@pytest.mark.source("FOGRA51", "spectral file, rows 1, 2 and 1617")
def test_offset_coated(check_data):
    readings = load_readings([check_data / "offset-coated-fogra51" / "fogra51-spectral.txt"])
    assert (len(readings), readings.colour_space, readings.condition) == (1617, "CMYK", MeasurementCondition.M1)
    assert readings.device[1].tolist() == [0, 0.1, 0, 0]
    assert readings.reflectance[0, :6].tolist() == [0.2760, 0.3460, 0.4320, 0.6500, 0.9350, 1.0260]
    assert readings.device[1616].tolist() == [1, 1, 0, 0.1]
    assert readings.reflectance[1616, 0] == 0.0297


@pytest.mark.common_practice("no source: cells copied from the check file")
def test_offset_board(check_data):
    readings = load_readings([check_data / "offset-board" / "board-spectral.txt"])
    assert (len(readings), readings.colour_space, readings.condition) == (1617, "CMYK", MeasurementCondition.M1)
    assert readings.device[0].tolist() == [0, 1, 0.2, 0]
    assert readings.reflectance[0, :3].tolist() == [0.1313, 0.1313, 0.1361]


@pytest.mark.common_practice("no source: cells copied from the check file")
def test_a_file_with_lab_for_ten_degrees_gives_its_spectra(check_data):
    readings = load_readings([check_data / "cmyk-10deg" / "it874-1617-m1.txt"])
    assert (len(readings), readings.colour_space, readings.condition) == (1617, "CMYK", MeasurementCondition.M1)
    assert readings.wavelengths.tolist() == list(range(380, 790, 10))
    assert readings.device[1].tolist() == [0, 0.85, 0.2, 0]
    assert readings.reflectance[0, :3].tolist() == [0.227030, 0.158521, 0.198916]


@pytest.mark.common_practice("no source: cells copied from the check file")
@pytest.mark.parametrize(
    ("name", "condition", "created"),
    [
        ("space_separated_header_duplicate_keywords_10deg.txt", "M1", "2018-08-21T15:47:00Z"),
        ("spot_reader_70_m0_crlf.txt", "M0", "2024-11-27T12:11:00Z"),
    ],
)
def test_statements_hidden_in_the_header(check_data, name, condition, created):
    readings = load_readings([check_data / "cgats-quirks" / name])
    assert readings.condition == MeasurementCondition(condition)
    assert readings.created == created
    assert readings.instrument.startswith("an instrument, ver")


@pytest.mark.source("Beltrami-2022", "state 3 and the table of device values, rows 1, 2 and 620")
def test_digital_press_joined_by_id(check_data):
    folder = check_data / "digital-press-grey"
    readings = load_readings([folder / "state-3.txt"], ReadingOptions(chart=folder / "device-and-lab.txt"))
    assert (len(readings), readings.colour_space, readings.condition) == (620, "CMYK", MeasurementCondition.M1)
    assert readings.device[1].tolist() == [0.1176, 0.0706, 0.0588, 0]
    assert readings.device[619].tolist() == [0, 0, 0, 0]
    assert readings.reflectance[1, :2].tolist() == [0.323536, 0.396292]
    assert readings.sample_names[:2] == ("A1", "A2")
    assert readings.positions[:2].tolist() == [[1, 1, 1], [1, 2, 1]]


@pytest.mark.source("Beltrami-2022", "state 1: labels with the page before the strip")
def test_digital_press_labels_of_two_pages(check_data):
    folder = check_data / "digital-press-grey"
    readings = load_readings([folder / "state-1.txt"], ReadingOptions(chart=folder / "device-and-lab.txt"))
    assert readings.sample_names[0] == "1A1"
    assert readings.positions[0].tolist() == [1, 1, 1]
    assert sorted(set(readings.positions[:, 0].tolist())) == [1, 2]
    assert readings.positions[:, 2].max() == 20  # strips A to T


@pytest.mark.common_practice("no source: cells copied from the check files")
def test_device_values_and_readings_in_two_files(check_data):
    folder = check_data / "cgats-quirks"
    measured = folder / "measured_only_join_by_id_crlf.txt"
    readings = load_readings([measured], ReadingOptions(chart=folder / "device_only_join_by_id_crlf.txt"))
    assert len(readings) == 1504
    assert readings.sample_ids[:2] == ("810", "1369")
    assert readings.device[1].tolist() == [0.80, 0.65, 0.65, 0]
    assert readings.reflectance[0, :2].tolist() == [0.1562, 0.1799]
    assert readings.condition is None
    assert readings.created is None  # 9/6/2014: the order of day and month is not known
    assert readings.positions[-1].tolist() == [2, 32, 21]
    assert readings.sample_ids.count("1485") == 2  # one id for two patches: their names tell them apart
    twice = [row for row, one in enumerate(readings.sample_ids) if one == "1485"]
    assert {readings.sample_names[row]: readings.device[row].tolist() for row in twice} == {
        "W28": [0.03, 0.4, 0.4, 0.4],
        "2U30": [0, 0, 0, 0],
    }
    assert {readings.sample_names[row]: readings.reflectance[row, 0] for row in twice} == {"W28": 0.0985, "2U30": 0.2777}
    with pytest.raises(MeasurementFileError, match="`chart`"):
        load_readings([measured])


@pytest.mark.common_practice("no source: cells copied from the check file")
@pytest.mark.parametrize(
    ("name", "first_nm", "last_nm", "step", "row", "band", "value"),
    [
        ("decimal_comma_nm_dec_pairs_crlf.txt", 380, 730, 10, 0, 1, 0.233768),
        ("tabs_in_names_nm_columns.txt", 380, 730, 10, 2, 1, 0.07864),
        ("blank_first_line_nm360_830.txt", 360, 830, 5, 1, 7, 0.10),
        ("unbalanced_quotes_comment.txt", 360, 830, 5, 11, 0, 0.189),
    ],
)
def test_spectra_without_device_values(check_data, readings_file, name, first_nm, last_nm, step, row, band, value):
    """Joined with an invented chart, so that the spectra can be seen."""
    from spectro.files.cgats import read_cgats

    table = read_cgats(check_data / "cgats-quirks" / name)
    key = "SAMPLE_ID" if table.column("SAMPLE_ID") is not None else "SAMPLE_NAME"
    keys = table.texts(table.column(key))
    rows = [[f'"{one}"', index, 0, 255] for index, one in enumerate(keys)]
    chart = readings_file("chart.txt", fields=[key, "RGB_R", "RGB_G", "RGB_B"], rows=rows)
    readings = load_readings([check_data / "cgats-quirks" / name], ReadingOptions(chart=chart))
    assert readings.wavelengths.tolist() == list(range(first_nm, last_nm + 1, step))
    assert readings.reflectance[row, band] == value


@pytest.mark.source("Balci-2025", "M0 and M2 of one print")
def test_conditions_are_never_merged(check_data):
    folder = check_data / "photo-inkjet-glossy"
    with pytest.raises(MeasurementFileError, match="M2, but M0") as caught:
        load_readings([folder / "chart-680-m0.txt", folder / "chart-680-m2.txt"])
    assert "`measurement_condition`" in caught.value.fix
    with pytest.raises(MeasurementFileError, match="expected M1"):
        load_readings([folder / "chart-680-m0.txt"], ReadingOptions(condition=MeasurementCondition.M1))


@pytest.mark.source("Balci-2025", "charts A and B of one paper")
def test_two_charts_with_the_same_ids(check_data, caplog):
    folder = check_data / "photo-inkjet-matte"
    both = load_readings([folder / "chart-a-2033-m0.txt", folder / "chart-b-2420-m0.txt"])
    assert len(both) == 2033 + 2420
    assert both.sample_ids[0] == "1:1"
    assert both.sample_ids[2033] == "2:1"
    assert len(set(both.sample_ids)) == len(both)
    assert "they are named FILE:ID" in caplog.text
    assert len(average_repeats(both)) == 2027 + 2390 - 16  # README: 16 recipes are common
