"""Places: no overlap, nothing outside the printable area, every patch once, neighbours unlike, repeats apart."""

import dataclasses
from collections import Counter
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from spectro.chart.design import design_chart
from spectro.chart.fonts import text_width_mm
from spectro.chart.generic_printer import predict_lab
from spectro.chart.marks import Box, Mark
from spectro.chart.order import WANTED_STEP
from spectro.chart.page_marks import page_marks
from spectro.chart.patches import choose_patches
from spectro.chart.recipe import read_recipe, recipe_from_table
from spectro.colour.difference import delta_e_2000
from spectro.errors import RecipeError
from spectro.records.arrays import FloatArray
from spectro.records.chart import Chart, ChartRecipe


@st.composite
def recipes(draw: st.DrawFn) -> dict[str, Any]:
    """Recipes of every kind that the limits allow, pages from a postcard up."""

    def length(low: float, high: float) -> float:
        return draw(st.integers(round(low * 20), round(high * 20))) / 20

    return {
        "format": 1,
        "title": draw(
            st.sampled_from(["x", "Long title of a chart on invented paper, with more words than fit on it", "W" * 80])
        ),
        "channels": "RGB",
        "patches": draw(st.integers(24, 400)),
        "seed": draw(st.integers(0, 2**53)),
        "spread": {"colour_weight": draw(st.sampled_from([0.0, 0.5, 1.0]))},
        "greys": {"neutral": draw(st.integers(2, 60)), "near_neutral": draw(st.integers(0, 80))},
        "ramps": {"steps": draw(st.integers(0, 30))},
        "edges": {"steps": draw(st.integers(0, 12))},
        "repeats": {"patches": draw(st.integers(0, 30)), "copies": draw(st.integers(1, 6))},
        "page": {
            "width_mm": length(100, 330),
            "height_mm": length(140, 480),
            "margin_left_mm": length(0, 15),
            "margin_right_mm": length(0, 15),
            "margin_top_mm": length(0, 15),
            "margin_bottom_mm": length(0, 25),
        },
        "patch": {
            "width_mm": length(3, 16),
            "height_mm": length(3, 16),
            "gap_columns_mm": length(0, 4),
            "gap_rows_mm": length(0, 4),
        },
        "reading": {
            "mode": draw(st.sampled_from(["by-strip", "by-patch"])),
            "run_in_mm": length(0, 10),
            "run_out_mm": length(0, 10),
            "longest_strip_mm": draw(st.sampled_from([None, 60.0, 250.0])),
        },
    }


def _without_none(table: dict[str, Any]) -> dict[str, Any]:
    table["reading"] = {key: value for key, value in table["reading"].items() if value is not None}
    return table


def extent(mark: Mark) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a mark, mm; letters from their descent to their ascent."""
    if isinstance(mark, Box):
        return mark.left, mark.top, mark.left + mark.width, mark.top + mark.height
    width = text_width_mm(mark.text, mark.font, mark.size_pt)
    start = {"left": 0.0, "centre": -width / 2, "right": -width}[mark.align]
    ascent, descent = mark.size_pt * 0.76 * 25.4 / 72, mark.size_pt * 0.24 * 25.4 / 72
    if mark.upright:
        return mark.x - ascent, mark.baseline - start - width, mark.x + descent, mark.baseline - start
    return mark.x + start, mark.baseline - ascent, mark.x + start + width, mark.baseline + descent


def overlaps(first: FloatArray, second: FloatArray) -> int:
    """How many pairs of two lists of extents overlap."""
    low = np.maximum(first[:, None, :2], second[None, :, :2])
    high = np.minimum(first[:, None, 2:], second[None, :, 2:])
    return int((high - low > 1e-3).all(axis=2).sum())


def assert_sound(chart: Chart) -> None:
    """No overlap, nothing outside the printable area, every place once."""
    page = chart.recipe.page
    width, height = chart.page_mm
    for number in range(1, chart.pages + 1):
        boxes = np.array([extent(mark) for mark in page_marks(chart, number)])
        assert boxes[:, 0].min() >= page.margin_left_mm - 1e-6
        assert boxes[:, 1].min() >= page.margin_top_mm - 1e-6
        assert boxes[:, 2].max() <= width - page.margin_right_mm + 1e-6
        assert boxes[:, 3].max() <= height - page.margin_bottom_mm + 1e-6
        patches = int((chart.positions[:, 0] == number).sum())
        assert patches > 0
        assert overlaps(boxes[:patches], boxes) == patches  # with itself only; words, check rules and lines included
        texts = np.array([extent(mark) for mark in page_marks(chart, number) if not isinstance(mark, Box)])
        assert overlaps(texts, texts) == len(texts)
    assert len({tuple(place) for place in chart.positions.tolist()}) == len(chart)
    assert len(set(chart.sample_names)) == len(chart)
    columns = chart.positions[:, 2] - 1, chart.positions[:, 1] - 1
    assert (columns[0] >= 0).all()
    assert (columns[1] < chart.rows).all()


@settings(max_examples=40, deadline=None)
@given(recipes())
def test_random_recipes_give_sound_pages(table: dict[str, Any]) -> None:
    """Laws of the layout hold for every recipe that has room on its page; the others are refused with a reason."""
    recipe = recipe_from_table(_without_none(table), "random.toml")
    refused: RecipeError | None = None
    try:
        chart = design_chart(recipe, "random.toml")
    except RecipeError as error:
        refused = error
    if refused:
        assert refused.key in ("patch.width_mm", "patch.height_mm")
        assert "room" in str(refused)
        return
    assert len(chart) == recipe.patches
    choice = choose_patches(recipe)
    wanted = Counter({tuple(row): times for row, times in zip(choice.steps.tolist(), choice.times.tolist(), strict=True)})
    assert Counter(tuple(row) for row in chart.steps.tolist()) == wanted
    assert_sound(chart)


@pytest.mark.parametrize("name", ["rgb-a4-patch", "rgb-a4-strip", "rgb-letter-strip"])
def test_ready_recipes_are_sound_and_fill_their_strips(name: str) -> None:
    """A ready recipe leaves no half-empty strip and keeps neighbours apart."""
    chart = design_chart(read_recipe(name))
    assert_sound(chart)
    assert len(chart) == chart.strips * chart.rows
    assert chart.smallest_step >= WANTED_STEP


def test_smallest_step_is_what_the_places_say(small_chart: Chart) -> None:
    """Found again from positions and device values alone: neighbours are rows of one strip."""
    lab = predict_lab(small_chart.device)
    at = {tuple(place): index for index, place in enumerate(small_chart.positions.tolist())}
    steps = [
        float(delta_e_2000(lab[index], lab[at[page, row + 1, column]]))
        for (page, row, column), index in at.items()
        if (page, row + 1, column) in at
    ]
    assert min(steps) == pytest.approx(small_chart.smallest_step, abs=1e-3)
    assert small_chart.smallest_step > 8  # wanted are 12; a shuffle alone leaves less than 2


def test_repeats_are_spread_over_the_pages(small_chart: Chart) -> None:
    """Each repeated patch is printed in as many thirds of the reading order as it has printings."""
    places: dict[tuple[int, ...], list[int]] = {}
    for index, row in enumerate(small_chart.steps.tolist()):
        places.setdefault(tuple(row), []).append(index)
    repeated = [found for found in places.values() if len(found) > 1]
    assert len(repeated) == 5
    for found in repeated:
        assert [index * 3 // len(small_chart) for index in found] == [0, 1, 2]
    assert small_chart.stanzas.count("repeats") == 10


def test_white_runs_before_and_after_each_strip(small_chart: Chart) -> None:
    """Nothing is drawn in the run-in and run-out of a strip, over its whole width."""
    reading = small_chart.recipe.reading
    for page in range(1, small_chart.pages + 1):
        here = small_chart.boxes_mm[small_chart.positions[:, 0] == page]
        top, bottom = here[:, 1].min(), (here[:, 1] + here[:, 3]).max()
        left, right = here[:, 0].min(), (here[:, 0] + here[:, 2]).max()
        for mark in page_marks(small_chart, page):
            low = mark.top + mark.height if isinstance(mark, Box) else mark.baseline
            high = mark.top if isinstance(mark, Box) else mark.baseline - mark.size_pt * 0.75 * 25.4 / 72
            x = mark.left if isinstance(mark, Box) else mark.x
            if not left < x < right:
                continue
            assert not (low > top - reading.run_in_mm and high < top - 1e-6)
            assert not (low > bottom + 1e-6 and high < bottom + reading.run_out_mm)


def test_another_seed_gives_another_chart(small_recipe: ChartRecipe, small_chart: Chart) -> None:
    """The seed changes patches, order and id; the same seed changes nothing."""
    other = design_chart(dataclasses.replace(small_recipe, seed=8))
    assert other.chart_id != small_chart.chart_id
    assert (other.steps != small_chart.steps).any()
    same = design_chart(small_recipe)
    assert same.chart_id == small_chart.chart_id
    np.testing.assert_array_equal(same.steps, small_chart.steps)


def test_a_page_without_room_is_refused(table: dict[str, Any]) -> None:
    """Patches that do not fit are named with the room there is."""
    table["patch"] = {"width_mm": 60, "height_mm": 60}
    with pytest.raises(RecipeError, match=r"own\.toml: patch\.width_mm: found 60 mm, and .* mm of room"):
        design_chart(recipe_from_table(table, "own.toml"), "own.toml")
