"""Where patches go: strips down the page, pages one after another, all in millimetres from the sheet's top left corner."""

from dataclasses import dataclass
from math import ceil
from pathlib import Path

import numpy as np

from spectro.chart.page_text import footer, header
from spectro.chart.recipe_limits import page_size_mm
from spectro.errors import RecipeError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import ChartRecipe, ReadingMode

GUTTER_MM = 9.0  # left of the block, for the vertical check rule
NUMBERS_MM = 6.0  # beside the block, for row numbers
LETTERS_MM = 4.5  # above and below the strips, for their letters
APART_MM = 2.0  # between header, block and footer


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Measures of the pages of one chart, mm."""

    page_mm: tuple[float, float]
    left: float  # printable area
    top: float
    right: float
    bottom: float
    block_left: float  # of the first strip
    block_top: float  # of the first patch
    footer_top: float
    pages: int
    strips: int  # over all pages
    strips_a_page: int
    rows: int  # patches in a full strip


def plan_grid(recipe: ChartRecipe, path: str | Path = "recipe") -> Grid:
    """Plan pages and strips for the patches of a recipe; path is named in messages.

    Raises RecipeError if a page has no room for two strips of two patches.
    """
    width, height = page_size_mm(recipe, path)
    page, patch, reading = recipe.page, recipe.patch, recipe.reading
    left, right = page.margin_left_mm, width - page.margin_right_mm
    top, bottom = page.margin_top_mm, height - page.margin_bottom_mm
    inner = right - left
    _, header_height = header(left, top, inner, recipe.title, *page_words(recipe, "00000000", 99, 99))
    _, footer_height = footer(left, 0, inner, reading.mode)
    footer_top = bottom - footer_height
    numbers = NUMBERS_MM * (2 if reading.mode is ReadingMode.BY_PATCH else 1)
    block_left = left + GUTTER_MM + NUMBERS_MM
    block_top = top + header_height + APART_MM + LETTERS_MM + reading.run_in_mm
    wide = inner - GUTTER_MM - numbers
    tall = footer_top - APART_MM - LETTERS_MM - reading.run_out_mm - block_top
    if reading.longest_strip_mm is not None:
        tall = min(tall, reading.longest_strip_mm)
    most_strips = _how_many(wide, patch.width_mm, patch.gap_columns_mm)
    most_rows = _how_many(tall, patch.height_mm, patch.gap_rows_mm)
    for key, most, room, size in (
        ("patch.width_mm", most_strips, wide, patch.width_mm),
        ("patch.height_mm", most_rows, tall, patch.height_mm),
    ):
        if most < 2:
            raise RecipeError(
                path,
                key,
                f"{size:g} mm, and {max(room, 0):.1f} mm of room on the page",
                "room for two patches at least",
                "Choose smaller patches, margins or run-in and run-out, or a larger page.",
            )
    strips = ceil(recipe.patches / most_rows)
    rows = ceil(recipe.patches / strips)  # strips as even as they can be
    strips = ceil(recipe.patches / rows)
    pages = ceil(strips / most_strips)
    strips_a_page = ceil(strips / pages)
    used = strips_a_page * (patch.width_mm + patch.gap_columns_mm) - patch.gap_columns_mm
    return Grid(
        page_mm=(width, height),
        left=left,
        top=top,
        right=right,
        bottom=bottom,
        block_left=block_left + (wide - used) / 2,
        block_top=block_top,
        footer_top=footer_top,
        pages=pages,
        strips=strips,
        strips_a_page=strips_a_page,
        rows=rows,
    )


def page_words(recipe: ChartRecipe, chart_id: str, page: int, pages: int) -> tuple[str, str]:
    """Return the words of the header: page n of m, and facts about the chart."""
    facts = f"Chart {chart_id}, {recipe.patches} patches, {recipe.channels} device values, seed {recipe.seed}"
    return f"page {page} of {pages}", facts


def _how_many(room: float, size: float, gap: float) -> int:
    return int((room + gap + 1e-9) // (size + gap)) if room > 0 else 0


def slots(grid: Grid, patches: int) -> IntArray:
    """Return the places of patches in reading order, (patches, 3): page, row, column, from 1."""
    index = np.arange(patches)
    strip, row = index // grid.rows, index % grid.rows
    page, column = strip // grid.strips_a_page, strip % grid.strips_a_page
    return np.stack([page + 1, row + 1, column + 1], axis=1)


def slot_boxes(grid: Grid, recipe: ChartRecipe, positions: IntArray) -> FloatArray:
    """Return left, top, width and height (n, 4), mm, of places (n, 3)."""
    patch = recipe.patch
    column, row = positions[:, 2] - 1, positions[:, 1] - 1
    boxes = np.empty((len(positions), 4))
    boxes[:, 0] = grid.block_left + column * (patch.width_mm + patch.gap_columns_mm)
    boxes[:, 1] = grid.block_top + row * (patch.height_mm + patch.gap_rows_mm)
    boxes[:, 2], boxes[:, 3] = patch.width_mm, patch.height_mm
    return np.round(boxes, 4)


def slot_names(grid: Grid, positions: IntArray) -> tuple[str, ...]:
    """Return the names of places: strip letters, which go on over the pages, and row number."""
    return tuple(f"{strip_letters((page - 1) * grid.strips_a_page + column)}{row}" for page, row, column in positions.tolist())


def strip_letters(number: int) -> str:
    """Return the letters of a strip, counted from 1.

    >>> [strip_letters(n) for n in (1, 26, 27, 52, 53, 703)]
    ['A', 'Z', 'AA', 'AZ', 'BA', 'AAA']
    """
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
