"""The demo's charts and readings."""

import numpy as np

from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.demo import demo_chart, demo_readings, demo_second_sheet, second_chart


def rows(chart):
    return [tuple(row) for row in chart.steps.tolist()]


def test_chart_holds_what_a_model_needs():
    """All corners, a grey ramp of 32 steps, 24 patches twice and none thrice, all on whole steps of 1/255."""
    chart = demo_chart()
    colours, counts = np.unique(chart.steps, axis=0, return_counts=True)
    assert len(chart) == 459
    assert chart.steps.min() == 0
    assert chart.steps.max() == 255
    assert sorted(set(counts.tolist())) == [1, 2]
    assert (counts == 2).sum() == 24
    held = {tuple(row) for row in colours.tolist()}
    assert {(r, g, b) for r in (0, 255) for g in (0, 255) for b in (0, 255)} <= held
    assert sum(r == g == b for r, g, b in held) >= 32
    np.testing.assert_array_equal(np.round(chart.device * 255), chart.steps)


def test_repeats_lie_apart():
    """Copies of a patch are not all neighbours: they show what the page does, not what one spot does."""
    chart = demo_chart()
    places: dict[tuple[int, ...], list[int]] = {}
    for index, row in enumerate(rows(chart)):
        places.setdefault(row, []).append(index)
    gaps = [found[1] - found[0] for found in places.values() if len(found) == 2]
    assert np.median(gaps) > 40


def test_every_place_is_taken_once():
    """One page, strips down the page, names that tell strip and row."""
    for chart, rows_a_strip, strips in ((demo_chart(), 27, 17), (second_chart(), 13, 12)):
        assert len({tuple(place) for place in chart.positions.tolist()}) == len(chart)
        np.testing.assert_array_equal(chart.positions.max(axis=0), [1, rows_a_strip, strips])
        assert chart.sample_ids == tuple(str(i + 1) for i in range(len(chart)))
        for name, (_, row, column) in zip(chart.sample_names, chart.positions.tolist(), strict=True):
            assert name == f"{'ABCDEFGHIJKLMNOPQRSTU'[column - 1]}{row}"


def test_second_chart_holds_other_colours():
    """What the profile is checked against it has not been built from, but for black and white."""
    both = set(rows(demo_chart())) & set(rows(second_chart()))
    assert both == {(0, 0, 0), (255, 255, 255)}
    assert len(set(rows(second_chart()))) == 156


def test_readings_are_of_their_charts():
    """Device values, ids and places come from the chart; the condition is M1; dates are a week apart."""
    for readings, chart in ((demo_readings(), demo_chart()), (demo_second_sheet(), second_chart())):
        np.testing.assert_array_equal(readings.device, chart.device)
        assert readings.sample_ids == chart.sample_ids
        assert readings.condition is MeasurementCondition.M1
        assert "invented" in readings.origin
    assert demo_readings().created == "2026-01-01T00:00:00Z"
    assert demo_second_sheet().created == "2026-01-08T00:00:00Z"


def test_repeats_show_the_noise(lab_of, delta_e_of):
    """The repeated patches differ by the noise of a reading, not by more."""
    readings = demo_readings()
    places: dict[tuple[float, ...], list[int]] = {}
    for index, row in enumerate(readings.device.tolist()):
        places.setdefault(tuple(row), []).append(index)
    pairs = np.array([found for found in places.values() if len(found) == 2])
    lab = lab_of(readings.reflectance)
    assert 0.10 < delta_e_of(lab[pairs[:, 0]], lab[pairs[:, 1]]).mean() < 0.25


def test_sheets_differ_but_not_much(lab_of, delta_e_of):
    """White and black of both sheets agree within what another day brings."""
    labs = []
    for readings in (demo_readings(), demo_second_sheet()):
        lab, device = lab_of(readings.reflectance), readings.device
        labs.append([lab[(device == value).all(axis=1)].mean(axis=0) for value in (1, 0)])
    assert delta_e_of(np.array(labs[0]), np.array(labs[1])).max() < 1


def test_made_twice_is_the_same():
    """No clock, no hidden state."""
    np.testing.assert_array_equal(demo_readings().reflectance, demo_readings().reflectance)
    np.testing.assert_array_equal(demo_second_sheet().reflectance, demo_second_sheet().reflectance)
