"""Readings and the table of their chart: joined by id, by name, or refused."""

import pytest

from spectro.errors import MeasurementFileError
from spectro.readings.load import load_readings
from spectro.records.reading_options import ReadingOptions

BANDS = [f"nm{nm}" for nm in range(400, 710, 20)]
GREY = [0.1] * 16
RGB = ["RGB_R", "RGB_G", "RGB_B"]
RED, GREEN, BLUE = (255, 0, 0), (0, 255, 0), (0, 0, 255)


@pytest.fixture
def join(readings_file):
    """Join readings and a chart, both given as rows of keys (and device values)."""

    def joined(keys, readings, chart_keys, chart, **options):
        measured = readings_file("read.txt", fields=[*keys, *BANDS], rows=[[*row, *GREY] for row in readings])
        table = readings_file("chart.txt", fields=[*chart_keys, *RGB], rows=chart)
        return load_readings([measured], ReadingOptions(chart=table, **options))

    return joined


def test_by_id_in_any_order(join):
    readings = join(["SAMPLE_ID"], [["b"], ["c"], ["a"]], ["SAMPLE_ID"], [["a", *RED], ["b", *GREEN], ["c", *BLUE]])
    assert readings.device.tolist() == [[0, 1, 0], [0, 0, 1], [1, 0, 0]]
    assert readings.sample_ids == ("b", "c", "a")


def test_names_and_places_come_from_the_chart(readings_file):
    measured = readings_file("read.txt", fields=["SAMPLE_ID", *BANDS], rows=[["2", *GREY], ["1", *GREY]])
    fields = ["SAMPLE_ID", "SAMPLE_NAME", *RGB, "PAGE", "ROW", "COLUMN"]
    chart = readings_file("chart.txt", fields=fields, rows=[["1", "A1", *RED, 3, 1, 1], ["2", "A2", *BLUE, 3, 2, 1]])
    readings = load_readings([measured], ReadingOptions(chart=chart))
    assert readings.sample_names == ("A2", "A1")
    assert readings.positions.tolist() == [[3, 2, 1], [3, 1, 1]]


def test_a_patch_read_twice_finds_its_values_twice(join):
    readings = join(["SAMPLE_ID"], [["1"], ["2"], ["1"]], ["SAMPLE_ID"], [["1", *RED], ["2", *BLUE]])
    assert readings.device.tolist() == [[1, 0, 0], [0, 0, 1], [1, 0, 0]]


def test_by_name_where_ids_differ(join, caplog):
    readings = join(
        ["SAMPLE_ID", "SAMPLE_NAME"], [["7", "A1"], ["8", "B1"]],
        ["SAMPLE_ID", "SAMPLE_NAME"], [["1", "B1", *RED], ["2", "A1", *BLUE]],
    )  # fmt: skip
    assert readings.device.tolist() == [[0, 0, 1], [1, 0, 0]]
    assert readings.positions.tolist() == [[1, 1, 1], [1, 1, 2]]
    assert "by name" in caplog.text


def test_ids_and_names_that_say_different_things(join):
    with pytest.raises(MeasurementFileError, match="id 1 named B1, which the chart names A1"):
        join(
            ["SAMPLE_ID", "SAMPLE_NAME"], [["1", "B1"], ["2", "A1"]],
            ["SAMPLE_ID", "SAMPLE_NAME"], [["1", "A1", *RED], ["2", "B1", *BLUE]],
        )  # fmt: skip


def test_by_order_only_without_any_key_and_said_aloud(join, caplog):
    readings = join([], [[], []], [], [RED, BLUE])
    assert readings.device.tolist() == [[1, 0, 0], [0, 0, 1]]
    assert [record.levelname for record in caplog.records if "by order" in record.message] == ["WARNING"]


@pytest.mark.parametrize(
    ("keys", "readings", "chart_keys", "chart", "found"),
    [
        (["SAMPLE_ID"], [["1"], ["9"]], ["SAMPLE_ID"], [["1", *RED], ["2", *BLUE]], "SAMPLE_ID 9"),
        (["SAMPLE_ID"], [["1"]], ["SAMPLE_ID"], [["1", *RED], ["2", *BLUE]], "no reading of 1 patches"),
        (["SAMPLE_ID"], [["1"]], ["SAMPLE_ID"], [["1", *RED], ["1", *BLUE]], "SAMPLE_ID 1 twice"),
        (["SAMPLE_ID"], [["1"], ["2"]], [], [RED, BLUE], "neither ids nor names"),
        ([], [[], []], ["SAMPLE_ID"], [["1", *RED], ["2", *BLUE]], "neither ids nor names"),
        ([], [[]], [], [RED, BLUE], "1 readings"),
    ],
)
def test_what_does_not_match_is_refused(join, keys, readings, chart_keys, chart, found):
    with pytest.raises(MeasurementFileError) as caught:
        join(keys, readings, chart_keys, chart)
    assert found in caught.value.found
    assert caught.value.fix


def test_pages_join_together(readings_file):
    pages = [readings_file(f"{page}.txt", fields=["SAMPLE_ID", *BANDS], rows=[[page, *GREY]]) for page in ("1", "2")]
    chart = readings_file("chart.txt", fields=["SAMPLE_ID", *RGB], rows=[["1", *RED], ["2", *BLUE]])
    assert load_readings(pages, ReadingOptions(chart=chart)).device.tolist() == [[1, 0, 0], [0, 0, 1]]
    with pytest.raises(MeasurementFileError, match="no reading of 1 patches"):
        load_readings(pages[:1], ReadingOptions(chart=chart))


def test_device_values_in_both(readings_file):
    own = readings_file("read.txt", fields=["SAMPLE_ID", *RGB, *BANDS], rows=[["1", 100, 0, 0, *GREY]])
    same = readings_file("same.txt", fields=["SAMPLE_ID", *RGB], rows=[["1", *RED]])
    other = readings_file("other.txt", fields=["SAMPLE_ID", *RGB], rows=[["1", 250, 0, 0]])
    assert load_readings([own], ReadingOptions(chart=same)).device.tolist() == [[1, 0, 0]]
    with pytest.raises(MeasurementFileError, match="differ from the chart's in 1 rows") as caught:
        load_readings([own], ReadingOptions(chart=other))
    assert caught.value.line == 8


def test_a_chart_without_device_values(readings_file):
    read = readings_file("read.txt", fields=["SAMPLE_ID", *BANDS], rows=[["1", *GREY]])
    with pytest.raises(MeasurementFileError, match="no device values"):
        load_readings([read], ReadingOptions(chart=read))
    with pytest.raises(MeasurementFileError, match="`chart`"):
        load_readings([read])


def test_the_scale_option_is_for_the_chart_where_the_readings_have_none(join):
    arguments = (["SAMPLE_ID"], [["1"]], ["SAMPLE_ID"], [["1", 51, 0, 0]])
    with pytest.raises(MeasurementFileError, match="`device_scale`"):
        join(*arguments)
    assert join(*arguments, device_scale=255).device.tolist() == [[0.2, 0, 0]]
