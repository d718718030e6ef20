"""Places: no overlap, nothing outside the printable area, every patch once, neighbours unlike, repeats apart."""

import dataclasses
from collections import Counter
from typing import Any

import numpy as np
import pytest
from chart_random_recipes import assert_sound, recipes
from hypothesis import HealthCheck, given, settings

from spectro.chart.chart_file import pack_chart
from spectro.chart.design import design_chart
from spectro.chart.dividers import divider_marks
from spectro.chart.generic_printer import predict_lab
from spectro.chart.marks import Box
from spectro.chart.order import WANTED_STEP
from spectro.chart.page_marks import page_marks
from spectro.chart.patches import choose_patches
from spectro.chart.pdf_pages import pdf_bytes
from spectro.chart.recipe import read_recipe, recipe_from_table
from spectro.colour.difference import delta_e_2000
from spectro.errors import RecipeError
from spectro.records.chart import Chart, ChartRecipe


def check_random_recipe(table: dict[str, Any]) -> None:
    """Laws of the layout hold for every recipe that has room on its page; the others are refused with a reason."""
    recipe = recipe_from_table(table, "random.toml")
    refused: RecipeError | None = None
    try:
        chart = design_chart(recipe, "random.toml")
    except RecipeError as error:
        refused = error
    if refused:
        assert refused.key in ("patch.width_mm", "patch.height_mm", "pages")
        assert "room" in str(refused)
        return
    assert 24 <= len(chart) <= (recipe.patches or 6000)
    assert chart.pages <= (recipe.pages or 6000)
    choice = choose_patches(chart.recipe, chart.pages)
    wanted = Counter({tuple(row): times for row, times in zip(choice.device.tolist(), choice.times.tolist(), strict=True)})
    assert Counter(tuple(row) for row in chart.device.tolist()) == wanted
    assert_sound(chart)
    again = design_chart(recipe, "random.toml")
    assert pack_chart(again, ()) == pack_chart(chart, ())
    assert pdf_bytes(again) == pdf_bytes(chart)


@settings(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(recipes(most_patches=150))
def test_random_recipes_give_sound_pages(table: dict[str, Any]) -> None:
    """A short run; a thousand recipes in benchmarks/charts.py."""
    check_random_recipe(table)


@pytest.mark.parametrize("name", ["rgb-a4-patch", "rgb-a4-strip", "rgb-letter-strip"])
def test_ready_recipes_are_sound_and_fill_their_strips(name: str) -> None:
    """A ready recipe leaves no half-empty strip and keeps neighbours apart."""
    chart = design_chart(read_recipe(name))
    assert_sound(chart)
    assert len(chart) == chart.strips * chart.rows
    assert chart.rows >= 17
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
    """Patches that do not fit are named with the room there is, and too few pages with what they hold."""
    table["patch"] = {"width_mm": 60, "height_mm": 60}
    with pytest.raises(RecipeError, match=r"own\.toml: patch\.width_mm: found 60 mm, and .* mm of room"):
        design_chart(recipe_from_table(table, "own.toml"), "own.toml")


def test_pages_that_hold_too_little_are_refused(table: dict[str, Any]) -> None:
    """Fewer than 24 patches make no chart."""
    table |= {"pages": 1, "page": {"size": "10x15cm"}, "patch": {"width_mm": 16, "height_mm": 10}}
    table["reading"] = {"mode": "by-patch"}
    with pytest.raises(RecipeError, match=r"own\.toml: pages: found 1, with room for \d+ patches"):
        design_chart(recipe_from_table(table, "own.toml"), "own.toml")


def test_as_many_as_fit(table: dict[str, Any]) -> None:
    """Pages are full; with a number of patches there are no more than that."""
    del table["patches"]
    table |= {"pages": 2, "page": {"width_mm": 110, "height_mm": 170}}
    full = design_chart(recipe_from_table(table, "own.toml"))
    assert full.pages == 2
    assert len(full) == full.strips * full.rows
    table["patches"] = len(full) + 1
    assert len(design_chart(recipe_from_table(table, "own.toml"))) == len(full)
    more = dataclasses.replace(full.recipe, patches=len(full) + 1)
    assert design_chart(more).pages == 3


def test_every_page_holds_anchors_and_mid_tones(table: dict[str, Any]) -> None:
    """Anchors once a page beside their own place, the mid-tone as often as asked and spread over the page."""
    table |= {"patches": 240, "repeats": {"anchors": 3, "evenness": 4}}
    chart = design_chart(recipe_from_table(table, "own.toml"))
    assert chart.pages > 1
    pages: dict[tuple[float, ...], Counter[int]] = {}
    for device, page in zip(chart.device.tolist(), chart.positions[:, 0].tolist(), strict=True):
        pages.setdefault(tuple(device), Counter())[page] += 1
    everywhere = [count for count in pages.values() if len(count) == chart.pages]
    assert len(everywhere) in (3, 4)  # the mid-tone may be an anchor, too
    assert sorted(min(count.values()) for count in everywhere)[-1] >= 4
    assert chart.stanzas.count("repeats") == chart.pages * 7


def test_dividers_contrast_with_both_neighbours() -> None:
    """Bars lie in the gaps of a strip and at its ends, and differ from both sides by a predicted ΔE00 of 20."""
    chart = design_chart(dataclasses.replace(read_recipe("rgb-a4-strip"), patches=100))
    marks = divider_marks(chart, np.arange(100))
    assert len(marks) == 100 + chart.strips
    lab = {mark.left: [] for mark in marks}
    for mark in marks:
        lab[mark.left].append((mark.top, mark.top + mark.height, predict_lab(mark.device)))
    for index, (left, top, _, height) in enumerate(chart.boxes_mm.tolist()):
        own = predict_lab(chart.device[index])
        beside = [bar for first, last, bar in lab[left] if abs(last - top) < 1e-3 or abs(first - top - height) < 1e-3]
        assert len(beside) == 2
        assert min(float(delta_e_2000(own, bar)) for bar in beside) > 20
