"""Exports in other orders and with other ids than the chart's: each reading finds its patch, or a person is asked."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "benchmarks"))

from spectro.chart.generic_printer import predict_lab
from spectro.checks.misreads import judge_sheet
from spectro.checks.order_choice import told_by_colours
from spectro.errors import InputError
from spectro.readings.chart_lists import read_chart_lists
from spectro.readings.row_orders import ORDER_NAMES, row_orders
from spectro.readings.strips import chart_layout, layout_of_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions
from spectro.words.joins import several_orders
from spectro.workflow.readings.add import readings_add
from spectro.workflow.readings.show import readings_show


@pytest.mark.common_practice("no source: an export's order and ids are what its software makes them")
def test_the_short_campaign_ends_right(check_data, monkeypatch):
    import joins

    monkeypatch.setattr(joins, "DATA", check_data)
    ends = joins.main(small=True, every=13)
    assert ends == {"right": 3, "asked": 1}  # asked: a page that lay upside down, which is turned when a person says so


def layout(rows=5, columns=4, pages=1):
    places = [(p + 1, r + 1, c + 1) for p in range(pages) for c in range(columns) for r in range(rows)]
    device = np.random.default_rng(2).random((len(places), 3))
    return chart_layout(
        origin="chart", chart_id="", colour_space="RGB", sample_ids=[str(n + 1) for n in range(len(places))],
        sample_names=[""] * len(places), device=device, positions=np.array(places),
    )  # fmt: skip


def test_orders_are_walked_from_every_corner():
    found = {one.name: one.rows.tolist() for one in row_orders(layout(2, 3), 6)}
    assert len(found) == 17 == len(ORDER_NAMES)
    assert found["columns"] == [0, 1, 2, 3, 4, 5]
    assert found["rows"] == [0, 2, 4, 1, 3, 5]
    assert found["rows-back-and-forth"] == [0, 2, 4, 5, 3, 1]
    assert found["columns-from-bottom-right"] == [5, 4, 3, 2, 1, 0]
    assert found["rows-from-top-right-back-and-forth"] == [4, 2, 0, 1, 3, 5]
    with pytest.raises(InputError, match="one of columns, "):
        list(row_orders(layout(), 20, order="upwards"))


def test_orders_that_fit_alike_are_asked_for():
    """A chart whose right half mirrors its left one: colours cannot tell from which side it was read."""
    chart = layout(6, 8)
    expected = predict_lab(chart.device)
    grid = expected.reshape(8, 6, 3)
    grid[4:] = grid[3::-1] + np.array([0.4, 0, 0])
    joins = [one.rows for one in row_orders(chart, 48)]
    names = [one.name for one in row_orders(chart, 48)]
    read = grid.reshape(-1, 3)[joins[names.index("rows-from-top-right")]] + np.random.default_rng(3).normal(size=(48, 3))
    told = told_by_colours(read, joins, grid.reshape(-1, 3))
    assert told.chosen is not None
    assert {names[k] for k in (told.chosen, *told.rivals)} >= {"rows", "rows-from-top-right"}
    assert "`row_order`" in " ".join(several_orders("x.txt", ["rows", "rows-from-top-right"]))


def test_no_order_is_found_in_colours_of_something_else():
    chart = layout(8, 8)
    joins = [one.rows for one in row_orders(chart, 64)]
    other = predict_lab(np.random.default_rng(8).random((64, 3)))
    assert told_by_colours(other, joins, predict_lab(chart.device)).chosen is None


def listed(file, ids, names, rng):
    lines = ["CGATS.17", "BEGIN_DATA_FORMAT", "SAMPLE_ID SAMPLE_NAME RGB_R RGB_G RGB_B", "END_DATA_FORMAT", "BEGIN_DATA"]
    for identity, name in zip(ids, names, strict=True):
        lines.append(f"{identity} {name} {' '.join(map(str, rng.integers(0, 256, 3)))}")
    file.write_text("\n".join([*lines, "END_DATA", ""]))
    return file


def test_a_list_is_read_as_a_chart_is_adopted(tmp_path):
    """One doubled id, where names tell the patches apart, and columns that go on after Z with the next characters."""
    letters = [chr(65 + n) for n in range(26)] + ["[", "\\", "]"]
    names = [f"{letter}{row + 1}" for letter in letters for row in range(4)]
    ids = [str(n + 1) for n in range(len(names))]
    ids[7] = ids[8]
    file = listed(tmp_path / "list.txt", ids, names, np.random.default_rng(1))
    chart = layout_of_table(file)
    assert chart.sample_ids == read_chart_lists([file]).sample_ids == tuple(names)
    assert len(chart.strips) == 29
    assert chart.positions.max(axis=0).tolist() == [1, 4, 29]


def test_one_patch_is_not_called_another_chart():
    """Whatever its colour: an offset brings it near any patch."""
    expected = [predict_lab(np.random.default_rng(3).random((20, 3))) for _ in range(4)]
    far = np.array([[3.0, 60.0, -60.0]])
    judged = judge_sheet([far], expected, noise=1.0, paper=np.array([95.0, 0, 0]))
    assert judged.findings == ()


def test_a_chart_of_greys_in_rgb_is_taken_in(tmp_path):
    """Channels that move together predict nothing of each other: strips are checked roughly, and nothing is misread."""
    rng = np.random.default_rng(2)
    levels = rng.permutation(np.linspace(0, 255, 96))
    nm = range(400, 701, 10)
    lines = ["CGATS.17", "MEASUREMENT_CONDITION M1", "BEGIN_DATA_FORMAT"]
    lines += ["SAMPLE_ID RGB_R RGB_G RGB_B " + " ".join(f"SPECTRAL_NM{one}" for one in nm), "END_DATA_FORMAT", "BEGIN_DATA"]
    for number, level in enumerate(levels, 1):
        spectrum = (0.01 + 0.85 * (level / 255) ** 1.8) * (1 + 0.003 * rng.normal(size=len(nm)))
        lines.append(f"{number} {level:.2f} {level:.2f} {level:.2f} " + " ".join(f"{value:.5f}" for value in spectrum))
    file = tmp_path / "greys.txt"
    file.write_text("\n".join([*lines, "END_DATA", ""]))
    found = readings_add([file], out=tmp_path / "kept.txt")
    assert found.resolved
    assert found.notes == ()


def doubled(tmp_path, names):
    """Readings of 80 invented patches with device values and two patches of one id."""
    rng = np.random.default_rng(6)
    device = np.round(255 * np.stack(np.meshgrid(*[np.linspace(0, 1, 5)] * 3), -1).reshape(-1, 3)[:80])
    level = 0.05 + 0.8 * device.mean(axis=1) / 255
    lines = ["SAMPLE_ID,SAMPLE_NAME,RGB_R,RGB_G,RGB_B," + ",".join(f"{nm}" for nm in range(400, 701, 10))]
    for row in range(80):
        identity = row if row == 41 else row + 1
        spectrum = level[row] * (1 + 0.01 * rng.random(31))
        cells = [identity, names[row], *device[row].astype(int), *(f"{value:.4f}" for value in spectrum)]
        lines.append(",".join(map(str, cells)))
    file = tmp_path / "readings.csv"
    file.write_text("\n".join([*lines, ""]), "utf-8")
    return file


def test_an_id_that_stands_twice_is_no_fault_where_names_tell_patches_apart(tmp_path):
    options = ReadingOptions(condition=MeasurementCondition.M1)
    names = [f"{'ABCDEFGH'[row // 10]}{row % 10 + 1}" for row in range(80)]
    result = readings_show(doubled(tmp_path, names), options=options)
    assert result.sheets[0].patches == 80
    with pytest.raises(InputError, match="the id 41 for different patches"):
        readings_show(doubled(tmp_path, [""] * 80), options=options)
