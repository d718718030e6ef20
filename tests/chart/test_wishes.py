"""A chart is asked for by what somebody has: a reader, minutes, a page. Advice fits what the chart is for."""

import dataclasses

import pytest

from spectro.chart.design import READING_SECONDS, design_chart
from spectro.chart.layout import plan_grid
from spectro.chart.read_folder import read_chart_folder
from spectro.chart.recipe import parse_recipe, read_recipe, recipe_names, recipe_text
from spectro.chart.wishes import RECIPES, on_small_sheet, patches_in, reader_recipe, room_of_page
from spectro.errors import InputError
from spectro.records.chart import ChartPurpose, ChartWish, Reader, ReadingMode, StagesStanza, purpose_of
from spectro.words.chart import ready_choices
from spectro.workflow.chart.list import chart_list
from spectro.workflow.chart.new import chart_new


@pytest.mark.parametrize("reader", list(Reader))
@pytest.mark.parametrize("minutes", [2, 7, 20, 60])
def test_a_chart_of_so_many_minutes_is_read_in_them(reader, minutes):
    recipe = patches_in(minutes, reader_recipe(reader))
    grid = plan_grid(recipe)
    units = len(grid.starts) - 1 if recipe.reading.mode is ReadingMode.BY_STRIP else recipe.patches
    assert units * READING_SECONDS[recipe.reading.mode] <= minutes * 60 + 1e-9
    assert 24 <= recipe.patches <= 2 * 1026


def test_more_minutes_give_no_fewer_patches_and_a_long_evening_no_endless_chart():
    for reader in Reader:
        counts = [patches_in(minutes, reader_recipe(reader)).patches for minutes in (2, 4, 8, 16, 32, 64, 300)]
        assert counts == sorted(counts)
        assert counts[-1] < 1000 + room_of_page(reader_recipe(reader))


@pytest.mark.parametrize("minutes", [0, -1, 0.01, 1e6])
def test_a_time_in_which_nothing_can_be_read_is_refused(minutes):
    with pytest.raises(InputError, match="`minutes`"):
        patches_in(minutes, reader_recipe(Reader.PATCH))


def test_a_reader_takes_its_page_and_patches_to_any_recipe(tmp_path):
    made = chart_new("grey-patch", tmp_path / "a", wish=ChartWish(reader=Reader.STRIP), patches=40)
    assert made.reading_mode == "by-strip"
    assert made.channels == ("grey",)
    with pytest.raises(InputError, match="both `minutes` and `patches`"):
        chart_new(None, tmp_path / "b", wish=ChartWish(minutes=5), patches=40)


def test_a_small_sheet_holds_more_than_its_ready_recipe_would_put_on_it():
    for name in ("rgb-a4-strip", "rgb-a4-patch", "rgb-aperture-4.5mm-table"):
        recipe = read_recipe(name)
        small = dataclasses.replace(recipe, page=dataclasses.replace(recipe.page, size="10x15cm"), patches=None, pages=3)
        assert plan_grid(on_small_sheet(small)).most >= 1.1 * plan_grid(small).most
        assert on_small_sheet(recipe) is recipe


def test_the_default_fills_its_pages_and_is_not_scolded():
    recipe = read_recipe(RECIPES[Reader.STRIP])
    assert plan_grid(recipe).starts[-1] == plan_grid(recipe).most
    chart = design_chart(dataclasses.replace(recipe, patches=300, pages=None))
    assert "Enough for a good profile" in ready_choices(chart)[0]


@pytest.mark.parametrize(
    ("name", "patches", "purpose", "words"),
    [
        ("rgb-control-strip", None, ChartPurpose.CONTROL, "control print"),
        ("grey-patch", 40, ChartPurpose.GREY, "black and white"),
        ("cmyk-strip", 60, ChartPurpose.INKS, "before it (spectro inks)"),
        ("rgb-a4-patch", 60, ChartPurpose.PROFILE, "first profile"),
    ],
)
def test_advice_fits_what_the_chart_is_for(name, patches, purpose, words):
    recipe = read_recipe(name)
    assert purpose_of(recipe) is purpose
    chart = design_chart(dataclasses.replace(recipe, patches=patches, pages=None) if patches else recipe)
    said = " ".join(ready_choices(chart))
    assert words in said
    assert ("would still gain" in said) == (purpose is ChartPurpose.PROFILE)


def test_every_ready_recipe_is_listed_and_its_earlier_name_still_read():
    listed = chart_list()
    assert {one.name for one in listed} == set(recipe_names())
    assert {one.reader for one in listed} == set(Reader)
    assert read_recipe("rgb-large-patch") == read_recipe("rgb-aperture-8mm-patch")
    assert all(str(one.aperture_mm).removesuffix(".0") in one.name for one in listed if "aperture" in one.name)


def test_a_purpose_survives_its_recipe_and_says_nothing_where_it_is_the_usual_one():
    control = read_recipe("rgb-control-patch")
    assert parse_recipe(recipe_text(control).encode(), "again").purpose is ChartPurpose.CONTROL
    assert "purpose" not in recipe_text(read_recipe("rgb-a4-patch"))


@pytest.mark.parametrize("reader", [None, Reader.PATCH, Reader.SHEET])
def test_inks_without_a_recipe_get_one_of_inks(tmp_path, reader):
    """No patch above the usual total limit, and overprints are on it: an RGB recipe asks for neither."""
    result = chart_new(None, tmp_path / "chart", channels="CMYK", patches=200, wish=ChartWish(reader=reader))
    chart = read_chart_folder(tmp_path / "chart").chart
    assert result.recipe.startswith("cmyk-")
    assert chart.device.sum(axis=1).max() <= 3.0
    assert "overprints" in chart.stanzas


def test_names_of_inks_and_their_curves_are_written_as_they_are_read():
    """Keys with blanks are quoted, tables within stanzas stand in one line: a chart's recipe can be taken for another chart."""
    six = read_recipe("six-ink-strip")
    inks = ["cyan", "magenta", "yellow", "black", "my red", "green"]
    stages = StagesStanza(on=["linearisation 12ab"], in_pages=True, curves={ink: [[0.0, 0.0], [1.0, 0.9]] for ink in inks})
    recipe = dataclasses.replace(six, channels=inks, ink_colours={"my red": [48.0, 68.0, 45.0]}, stages=stages)
    assert parse_recipe(recipe_text(recipe).encode(), "again") == recipe
