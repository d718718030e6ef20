"""Device values: their scale, their range, columns in any order, and the join with a chart."""

import numpy as np
import pytest

from spectro.errors import InputError, MeasurementFileError
from spectro.readings.load import load_readings
from spectro.records.reading_options import ReadingOptions

pytestmark = pytest.mark.common_practice("no source: the rules of scale are our own, the data is invented")
WITHOUT = ["SAMPLE_ID", *(f"nm{nm}" for nm in range(400, 710, 20))]
GREY = [0.1] * 16


def rgb(*largest: float) -> list[tuple[float, float, float]]:
    return [(value, 0, 0) for value in largest]


@pytest.mark.parametrize(
    ("values", "scale"),
    [((255, 128), 255), ((101,), 255), ((100, 50), 100), ((1, 0.5), 1), ((0.25,), 1), ((100.5,), 255), ((0,), 1)],
)
def test_the_largest_value_tells_the_scale(readings_file, values, scale):
    readings = load_readings([readings_file(device=rgb(*values))])
    assert readings.device[:, 0].tolist() == [value / scale for value in values]


@pytest.mark.parametrize("largest", [1.5, 50, 99.9])
def test_a_scale_that_cannot_be_told(readings_file, largest):
    path = readings_file(device=rgb(0, largest, 1))
    with pytest.raises(MeasurementFileError, match="`device_scale`") as caught:
        load_readings([path])
    assert caught.value.line == 9
    for scale in (100, 255):
        assert load_readings([path], ReadingOptions(device_scale=scale)).device[1, 0] == largest / scale
    with pytest.raises(MeasurementFileError, match="expected 0 to 1"):
        load_readings([path], ReadingOptions(device_scale=1))
    with pytest.raises(InputError):
        load_readings([path], ReadingOptions(device_scale=16))


@pytest.mark.parametrize("value", [-0.5, 256, 300])
def test_a_value_off_the_scale(readings_file, value):
    with pytest.raises(MeasurementFileError, match=f"device value {value:g} of patch 2") as caught:
        load_readings([readings_file(device=rgb(255, value))])
    assert caught.value.line == 9


def test_files_are_decided_together(readings_file):
    """A dark page has no scale of its own; it has that of its neighbours."""
    light, dark = readings_file("a.txt", device=rgb(255)), readings_file("b.txt", device=rgb(51, 0))
    assert load_readings([dark, light]).device[:, 0].tolist() == [0.2, 0, 1]
    black = readings_file("c.txt", device=rgb(0))
    assert load_readings([light, black]).device[:, 0].tolist() == [1, 0]


@pytest.mark.parametrize("largest", [1, 100])
def test_files_that_would_be_decided_otherwise(readings_file, largest):
    first, second = readings_file("a.txt", device=rgb(255)), readings_file("b.txt", device=rgb(largest))
    with pytest.raises(MeasurementFileError, match="`device_scale`") as caught:
        load_readings([first, second])
    assert caught.value.path == second
    assert load_readings([first, second], ReadingOptions(device_scale=255)).device[1, 0] == largest / 255


def test_a_stated_scale(readings_file):
    path = readings_file(device=rgb(51), header=("KEYWORD DEVICE_SCALE", "DEVICE_SCALE 255"))
    assert load_readings([path]).device[0, 0] == 0.2
    with pytest.raises(MeasurementFileError, match="`device_scale` 100"):
        load_readings([path], ReadingOptions(device_scale=100))
    with pytest.raises(MeasurementFileError, match="1, 100 or 255"):
        load_readings([readings_file(device=rgb(51), header=("DEVICE_SCALE 16",))])


@pytest.mark.parametrize(
    ("space", "names", "order"),
    [
        ("CMYK", ["CMYK_K", "CMYK_C", "CMYK_M", "CMYK_Y"], [1, 2, 3, 0]),
        ("CMY", ["CMY_Y", "CMY_C", "CMY_M"], [1, 2, 0]),
        ("GRAY", ["GRAY"], [0]),
        ("5CLR", ["5CLR_5", "5CLR_1", "5CLR_2", "5CLR_3", "5CLR_4"], [1, 2, 3, 4, 0]),
        ("RGB", ["RGB_B", "RGB_G", "RGB_R"], [2, 1, 0]),
    ],
)
def test_columns_in_any_order(readings_file, space, names, order):
    values = [100, 20, 30, 40, 50][: len(names)]
    path = readings_file(fields=[*WITHOUT, *names], rows=[[1, *GREY, *values]])
    readings = load_readings([path])
    assert readings.colour_space == space
    assert readings.device[0].tolist() == [values[index] / 100 for index in order]


def test_inks_from_0_to_1_are_not_guessed(readings_file):
    path = readings_file(fields=[*WITHOUT, "GRAY_K"], rows=[[1, *GREY, 1]])
    with pytest.raises(MeasurementFileError, match="`device_scale`"):
        load_readings([path])
    assert load_readings([path], ReadingOptions(device_scale=1)).device.tolist() == [[1]]


def test_incomplete_and_doubled_device_columns(readings_file):
    with pytest.raises(MeasurementFileError, match="RGB without RGB_B"):
        load_readings([readings_file(fields=[*WITHOUT, "RGB_R", "RGB_G"], rows=[[1, *GREY, 1, 1]])])
    with pytest.raises(MeasurementFileError, match="RGB and GRAY"):
        load_readings([readings_file(fields=[*WITHOUT, "RGB_R", "RGB_G", "RGB_B", "GRAY"], rows=[[1, *GREY, 1, 1, 1, 1]])])


def test_two_colour_spaces_in_two_files(readings_file):
    grey = readings_file("g.txt", fields=[*WITHOUT, "GRAY"], rows=[[1, *GREY, 100]])
    colour = readings_file("c.txt", fields=[*WITHOUT, "RGB_R", "RGB_G", "RGB_B"], rows=[[1, *GREY, 0, 0, 255]])
    with pytest.raises(MeasurementFileError, match="GRAY and RGB"):
        load_readings([colour, grey])


def test_an_id_again(readings_file):
    def fields_and_rows(second):
        return {"fields": ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *WITHOUT[1:]],
                "rows": [["7", 255, 0, 0, *GREY], ["7", *second, *GREY]]}  # fmt: skip

    assert load_readings([readings_file(**fields_and_rows((255, 0, 0)))]).sample_ids == ("7", "7")
    with pytest.raises(MeasurementFileError, match="SAMPLE_ID 7 again") as caught:
        load_readings([readings_file(**fields_and_rows((254, 0, 0)))])
    assert caught.value.line == 9


def test_an_id_for_two_named_patches(readings_file, caplog):
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", *WITHOUT[1:]]
    rows = [["7", "A1", 255, 0, 0, *GREY], ["7", "B1", 254, 0, 0, *GREY]]
    assert load_readings([readings_file(fields=fields, rows=rows)]).sample_names == ("A1", "B1")
    assert "SAMPLE_ID 7 stands for A1 and B1" in caplog.text
    rows[1][1] = "A1"
    with pytest.raises(MeasurementFileError, match="SAMPLE_ID 7 again"):
        load_readings([readings_file(fields=fields, rows=rows)])


def test_rows_are_numbered_where_there_are_no_ids(readings_file):
    parts = {"fields": ["RGB_R", "RGB_G", "RGB_B", *WITHOUT[1:]], "rows": [[255, 0, 0, *GREY], [0, 0, 0, *GREY]]}
    readings = load_readings([readings_file("a.txt", **parts), readings_file("b.txt", **parts)])
    assert readings.sample_ids == ("1", "2", "3", "4")


def test_the_same_file_twice_and_none(readings_file):
    path = readings_file()
    with pytest.raises(InputError, match="twice"):
        load_readings([path, path.parent / "." / path.name])
    with pytest.raises(InputError):
        load_readings([])


def test_positions_from_fields_and_from_labels(readings_file):
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", "PAGE", "ROW", "COLUMN", *WITHOUT[1:]]
    rows = [[1, "x", 255, 0, 0, 2, 3, 4, *GREY], [2, "y", 0, 0, 0, 2, 4, 4, *GREY]]
    assert load_readings([readings_file(fields=fields, rows=rows)]).positions.tolist() == [[2, 3, 4], [2, 4, 4]]
    fields = ["SAMPLE_ID", "SAMPLE_LOC", "RGB_R", "RGB_G", "RGB_B", *WITHOUT[1:]]
    labels = ("A1", "AA3", "B12")
    rows = [[index, label, 255, 0, 0, *GREY] for index, label in enumerate(labels)]
    readings = load_readings([readings_file(fields=fields, rows=rows)])
    assert readings.sample_names == labels
    assert readings.positions.tolist() == [[1, 1, 1], [1, 3, 27], [1, 12, 2]]
    rows[2][1] = "A1"
    assert load_readings([readings_file(fields=fields, rows=rows)]).positions.shape == (0, 3)
    assert np.issubdtype(readings.positions.dtype, np.integer)
