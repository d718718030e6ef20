"""Every ready recipe, one page each, on all the named pages in turn: page files checked by programs that did not write them."""

import dataclasses

import pytest
from chart_page_checks import check_page
from chart_random_recipes import assert_sound

from spectro.chart.design import design_chart
from spectro.chart.layout import with_count
from spectro.chart.recipe import read_recipe, ready_charts, recipe_names
from spectro.chart.recipe_limits import check_limits
from spectro.chart.tables import named_pages
from spectro.records.chart import ChartRecipe, ReadingMode

READY = ready_charts()


def on_page(name: str, page: str, pages: int | None = None) -> ChartRecipe:
    """A ready recipe on a named page, on fewer pages if asked."""
    recipe = read_recipe(name)
    recipe = dataclasses.replace(recipe, page=dataclasses.replace(recipe.page, size=page), pages=pages or recipe.pages)
    check_limits(recipe, name)
    return recipe


def one_each() -> list[tuple[str, str]]:
    """Each recipe once; those for any page on small pages that change from recipe to recipe."""
    small = ["a4", "letter", "10x15cm", "a3"]
    pairs = []
    for number, name in enumerate(recipe_names()):
        fitting = [page for ready, page in READY if ready == name]
        pairs.append((name, fitting[0] if len(fitting) == 1 else small[number % len(small)]))
    return pairs


@pytest.mark.parametrize(("name", "page"), one_each())
def test_a_page_of_every_ready_recipe_is_exact(name: str, page: str) -> None:
    """Content stream, poppler's raster, both TIFFs and the page code."""
    recipe = with_count(on_page(name, page, pages=None if page == "10x15cm" else 1))
    if not name.startswith(("rgb-a4", "rgb-letter")):
        recipe = dataclasses.replace(recipe, patches=min(recipe.patches or 0, 200))
    chart = design_chart(recipe)
    assert_sound(chart)
    check_page(chart, 1)


def test_every_ready_recipe_fits_every_page() -> None:
    """Three apertures, three reading modes, eleven papers: every pair has room, and patches fit the instrument."""
    wanted = {"a4", "a3", "a3+", "a2", "letter", "13x19in", "17x22in", "10x15cm", "roll-17in", "roll-24in", "roll-44in"}
    assert wanted <= set(named_pages())
    for aperture in ("2.5mm", "4.5mm", "8mm"):
        for mode in ReadingMode:
            name = f"rgb-aperture-{aperture}-{mode.removeprefix('by-')}"
            assert {page for ready, page in READY if ready == name} >= wanted
            assert read_recipe(name).reading.mode is mode
    for name, page in READY:
        recipe = with_count(on_page(name, page))
        assert 24 <= (recipe.patches or 0) <= 1500
        least = recipe.reading.smallest_patch_mm or 0
        assert min(recipe.patch.width_mm, recipe.patch.height_mm) >= least > (recipe.reading.aperture_mm or 0) > 0


def test_a_long_page_gets_bands_of_strips() -> None:
    """On A3 strips are no longer than an arm allows and stand in two bands; letters and run-in belong to each."""
    chart = design_chart(on_page("rgb-medium-strip", "a3"))
    tops = {chart.boxes_mm[row, 1] for row in range(len(chart)) if chart.positions[row, 1] == 1}
    assert len(tops) == 2
    assert chart.pages == 1
    assert_sound(chart)


def test_a_roll_is_cut_as_long_as_the_chart_needs() -> None:
    """Few patches, a short piece; nothing is left over."""
    charts = [design_chart(dataclasses.replace(on_page("rgb-medium-table", "roll-24in", 1), patches=n)) for n in (120, 900)]
    assert [chart.pages for chart in charts] == [1, 1]
    assert charts[0].page_mm[1] <= charts[1].page_mm[1] < 300
    for chart in charts:
        assert_sound(chart)
