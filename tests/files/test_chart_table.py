"""Tables of charts, and numbers that survive being written."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from spectro.errors import ShapeError
from spectro.files.cgats import pack_cgats, parse_cgats
from spectro.files.chart_table import chart_table
from spectro.files.number_text import number_text, scaled_texts, unscaled

NOWHERE = np.zeros((0, 3), dtype=np.int64)


def test_text_of_a_chart_table():
    table = chart_table(
        ["1", "2"], ["A1", "A2"], "RGB", np.array([[0, 0.2, 1], [128 / 255, 1, 0]]),
        np.array([[1, 1, 1], [1, 2, 1]]), [("DESCRIPTOR", "two patches")],
    )  # fmt: skip
    assert pack_cgats(table).splitlines() == [
        "CGATS.17",
        'KEYWORD\t"PAGE"',
        'KEYWORD\t"ROW"',
        'KEYWORD\t"COLUMN"',
        'ORIGINATOR\t"spectro"',
        'DESCRIPTOR\t"two patches"',
        "NUMBER_OF_FIELDS\t8",
        "BEGIN_DATA_FORMAT",
        "SAMPLE_ID\tSAMPLE_NAME\tRGB_R\tRGB_G\tRGB_B\tPAGE\tROW\tCOLUMN",
        "END_DATA_FORMAT",
        "NUMBER_OF_SETS\t2",
        "BEGIN_DATA",
        "1\tA1\t0\t51\t255\t1\t1\t1",
        "2\tA2\t128\t255\t0\t1\t2\t1",
        "END_DATA",
    ]


@pytest.mark.parametrize(
    ("colour_space", "fields"),
    [("CMYK", ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K")), ("GRAY", ("GRAY_K",)), ("2CLR", ("2CLR_1", "2CLR_2"))],
)
def test_other_spaces_are_written_to_100(colour_space, fields):
    device = np.full((1, len(fields)), 0.5)
    table = chart_table(["1"], [""], colour_space, device, NOWHERE)
    assert table.fields[2:] == fields
    assert set(table.rows[0][2:]) == {"50"}
    assert parse_cgats(pack_cgats(table).encode(), "t").rows == table.rows


def test_scale_is_said_only_where_the_values_do_not_tell_it():
    def said(colour_space, device):
        table = chart_table(["1"], [""], colour_space, np.array([device]), NOWHERE)
        return [entry.value for entry in table.values("DEVICE_SCALE")]

    assert said("RGB", [1.0, 0, 0]) == []
    assert said("RGB", [0.39, 0, 0]) == ["255"]
    assert said("RGB", [0.0, 0, 0]) == []
    assert said("CMYK", [0.01, 0, 0, 0]) == ["100"]
    assert said("CMYK", [0.02, 0, 0, 0]) == []


def test_wrong_shapes():
    with pytest.raises(ShapeError):
        chart_table(["1"], ["a"], "RGB", np.zeros((1, 4)), NOWHERE)
    with pytest.raises(ShapeError):
        chart_table(["1"], ["a", "b"], "RGB", np.zeros((1, 3)), NOWHERE)
    with pytest.raises(ShapeError):
        chart_table(["1"], ["a"], "RGB", np.zeros((1, 3)), np.ones((2, 3), dtype=np.int64))


@given(st.lists(st.floats(0, 1).filter(lambda x: x == 0 or x > 1e-9), min_size=1, max_size=20),
       st.sampled_from([1, 100, 255]))  # fmt: skip
def test_factors_survive_any_scale_exactly(values, scale):
    flat = np.array(values)
    texts = scaled_texts(flat, scale)
    assert np.array_equal(unscaled(texts, np.array(list(map(float, texts))), scale), flat)


@given(st.integers(0, 255))
def test_whole_steps_are_written_as_whole_numbers(step):
    assert scaled_texts(np.array([step / 255]), 255) == [str(step)]


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_number_text_is_the_same_float(value):
    assert float(number_text(value)) == value
