"""A recipe that fits a reader, an evening and a page, from what somebody has instead of from a recipe's lengths."""

import dataclasses
from math import ceil

from spectro.chart.channels import CMYK
from spectro.chart.design import READING_SECONDS
from spectro.chart.layout import plan_grid
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, page_size_mm
from spectro.errors import InputError
from spectro.records.chart import ChartRecipe, Reader, ReadingMode
from spectro.standards.limits import shipped_limits

RECIPES = {
    Reader.PATCH: "rgb-a4-patch",
    Reader.STRIP: "rgb-a4-strip",
    Reader.SHEET: "rgb-a4-sheet",
    Reader.TABLE: "rgb-aperture-4.5mm-table",
}
"""The ready recipe of each kind of reader: page, patches and reading are taken from it."""

SMALL_MM = 130.0
"""A sheet narrower than this is a small one: every millimetre is wanted for patches (ours)."""
_SMALL_MARGIN_MM, _SMALL_RUN_MM = 5.0, 6.0  # common practice, no source
_LONGEST_EVENING = 600.0  # minutes
_NEARLY = 0.75  # whole pages are taken where they hold this share of what the time allows (ours)


def usual_recipe(reader: Reader | None, channels: str | None) -> str:
    """Return the ready recipe for channels as they are asked for, and a reader: by strip where none is named.

    >>> usual_recipe(None, None), usual_recipe(Reader.PATCH, "CMYK"), usual_recipe(None, "cyan,magenta,yellow,black,orange")
    ('rgb-a4-strip', 'cmyk-patch', 'six-ink-strip')
    """
    inks = [one for one in (channels or "RGB").split(",") if one.strip()]
    if len(inks) > 1 or inks == ["CMYK"]:
        mode = {Reader.PATCH: "patch", Reader.TABLE: "table"}.get(reader or Reader.STRIP, "strip")
        return f"cmyk-{mode}" if len(inks) <= len(CMYK) else "six-ink-strip"
    return "grey-patch" if inks == ["grey"] else RECIPES[reader or Reader.STRIP]


def for_reader(recipe: ChartRecipe, like: ChartRecipe) -> ChartRecipe:
    """Return a recipe with page, patches and reading of another: the same colours for another instrument."""
    page = dataclasses.replace(like.page)
    return dataclasses.replace(recipe, page=page, patch=like.patch, reading=like.reading)


def reader_recipe(reader: Reader) -> ChartRecipe:
    """Return the ready recipe of a kind of reader."""
    return read_recipe(RECIPES[reader])


def reader_of(name: str, recipe: ChartRecipe) -> Reader:
    """Return for which kind of reader a ready recipe is."""
    if name == RECIPES[Reader.SHEET]:
        return Reader.SHEET
    return {
        ReadingMode.BY_PATCH: Reader.PATCH,
        ReadingMode.BY_STRIP: Reader.STRIP,
        ReadingMode.BY_TABLE: Reader.TABLE,
    }[recipe.reading.mode]


def on_small_sheet(recipe: ChartRecipe) -> ChartRecipe:
    """Return a recipe with narrower margins and runs where its sheet is small; as it is elsewhere."""
    if page_size_mm(recipe, "recipe")[0] >= SMALL_MM:
        return recipe
    page, reading = recipe.page, recipe.reading
    margins = {
        name: min(getattr(page, name), _SMALL_MARGIN_MM)
        for name in ("margin_left_mm", "margin_right_mm", "margin_top_mm", "margin_bottom_mm")
    }
    runs = {name: min(getattr(reading, name), _SMALL_RUN_MM) for name in ("run_in_mm", "run_out_mm")}
    return dataclasses.replace(recipe, page=dataclasses.replace(page, **margins), reading=dataclasses.replace(reading, **runs))


def room_of_page(recipe: ChartRecipe) -> int:
    """Return how many patches one page of a recipe holds; on a roll, those of one piece as long as it may be."""
    try_it = dataclasses.replace(recipe, patches=None, pages=2)
    return max(1, plan_grid(try_it).most // 2)


def patches_in(minutes: float, recipe: ChartRecipe, pages: int | None = None) -> ChartRecipe:
    """Return a recipe with as many patches as can be read in so many minutes, on whole pages where the time allows.

    pages: at most so many. No more patches than are worth reading are taken: the rest of the time is better spent on a
    second print. Raises InputError for a time in which no chart can be read.
    """
    if not 0 < minutes <= _LONGEST_EVENING:
        raise InputError(f"`minutes` {minutes:g}", f"more than 0, at most {_LONGEST_EVENING:g}", "Choose another time.")
    mode = recipe.reading.mode
    units = int(minutes * 60 / READING_SECONDS[mode])
    page = room_of_page(recipe)
    rows = plan_grid(dataclasses.replace(recipe, patches=None, pages=2)).rows if mode is ReadingMode.BY_STRIP else 1
    in_time = units * rows
    low, high = LIMITS["patches"]
    worth = int(shipped_limits("chart")["large_chart"])
    whole = max(1, ceil(worth / page)) * page
    most = min(in_time, whole, int(high), page * pages if pages else int(high))
    if most < low:
        raise InputError(
            f"`minutes` {minutes:g}, which is enough for {most} patches",
            f"time for {low:g} at least",
            "Take a little more time, or choose another `reader`.",
        )
    full = most // page * page
    return dataclasses.replace(recipe, patches=full if full >= most * _NEARLY else most, pages=None)
