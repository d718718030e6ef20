"""Where patches go: strips down the page, in bands below each other where the page is long, all in millimetres from the
sheet's top left corner."""

import dataclasses
from dataclasses import dataclass
from math import ceil
from pathlib import Path

import numpy as np

from spectro.chart.channels import channel_names
from spectro.chart.page_text import footer, header, how_to_print
from spectro.chart.recipe_limits import LIMITS, LONGEST_ROLL_MM, page_size_mm
from spectro.errors import RecipeError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import ChartRecipe, ReadingMode

GUTTER_MM = 9.0  # left of the block, for the vertical scale bar
NUMBERS_MM = 6.0  # beside the block, for row numbers
LETTERS_MM = 4.5  # above and below the strips, for their letters
GUIDE_MM = 1.6  # between letters and run-in or run-out, for the sweep guide
APART_MM = 2.0  # between header, bands and footer
FULL_ENOUGH = 0.6  # the last strip should not be shorter than this share of the others (no source)
_BAND_COST = 0.94  # a further band must bring at least this more patches: each costs strips to read (no source)
_MOST_BANDS = 12
_FEWEST_ROWS = 15  # of a roll's chart (no source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Measures of the pages of one chart, mm."""

    page_mm: tuple[float, float]
    left: float  # printable area
    top: float
    right: float
    bottom: float
    block_left: float  # of the first strip
    band_tops: tuple[float, ...]  # of the first patch of each band
    footer_top: float
    pages: int
    starts: tuple[int, ...]  # first place of each strip over all pages, and the number of patches
    strips_a_page: int
    strips_a_band: int
    rows: int  # patches in a full strip
    most: int  # patches that would fit on these pages


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """What a page offers, before patches are counted."""

    width: float
    left: float
    right: float
    block_left: float
    bands_top: float  # below the header
    wide: float  # for strips
    around: float  # of a band, beside its patches: letters, guide, run-in, run-out, outer dividers
    above: float  # the part of it above the first patch
    footer_height: float
    longest: float
    strips: int  # side by side


def plan_grid(recipe: ChartRecipe, path: str | Path = "recipe") -> Grid:
    """Plan pages, bands and strips for the patches of a recipe; path is named in messages.

    A recipe that says pages gets as many patches as fit, its own number at most. On a roll the page is cut as long as
    the chart needs. Raises RecipeError if a page has no room for two strips of two patches, or not for 24 in all.
    """
    room, height, bands, most_rows = _places(recipe, path)
    capacity = bands * most_rows * room.strips
    patches = _count(recipe, capacity, path)
    page_strips = bands * room.strips
    starts = strip_starts(patches, most_rows)
    strips, rows = len(starts) - 1, int(np.diff(starts).max())
    pages = ceil(strips / page_strips)
    strips_a_page = ceil(strips / pages)
    used_bands = ceil(strips_a_page / room.strips)
    strips_a_band = ceil(strips_a_page / used_bands)
    patch = recipe.patch
    used = strips_a_band * (patch.width_mm + patch.gap_columns_mm) - patch.gap_columns_mm
    pitch = room.around + _length(recipe, rows) + APART_MM
    bottom = height - recipe.page.margin_bottom_mm
    return Grid(
        page_mm=(room.width, height),
        left=room.left,
        top=recipe.page.margin_top_mm,
        right=room.right,
        bottom=bottom,
        block_left=room.block_left + (room.wide - used) / 2,
        band_tops=tuple(room.bands_top + room.above + band * pitch for band in range(used_bands)),
        footer_top=bottom - room.footer_height,
        pages=pages,
        starts=tuple(starts.tolist()),
        strips_a_page=strips_a_page,
        strips_a_band=strips_a_band,
        rows=rows,
        most=capacity * pages,
    )


def _places(recipe: ChartRecipe, path: str | Path) -> tuple[_Room, float, int, int]:
    """Return the room of a page, its height in mm, the bands of it, and the most rows of a band."""
    room = _room(recipe, path)
    height = page_size_mm(recipe, path)[1]
    if height is None:
        height = _roll_height(recipe, room, path)
    return room, height, *_bands(recipe, room, height, path)


def with_count(recipe: ChartRecipe, path: str | Path = "recipe") -> ChartRecipe:
    """Return the recipe with its number of patches said: one that says pages gets what fits on them."""
    if recipe.pages is None:
        return recipe
    room, _, bands, most_rows = _places(recipe, path)
    patches = _count(recipe, bands * most_rows * room.strips, path)
    return dataclasses.replace(recipe, patches=patches, pages=None)


def strip_starts(patches: int, most_rows: int) -> IntArray:
    """Return the first place of each strip, and the number of patches: as few strips as can be, as even as can be.

    All are equally long but the last; where that would be too short to be told by its colours, it shares with the one
    before.

    >>> strip_starts(12, 5).tolist(), strip_starts(14, 6).tolist(), strip_starts(57, 7).tolist()
    ([0, 4, 8, 12], [0, 5, 10, 14], [0, 7, 14, 21, 28, 35, 42, 49, 53, 57])
    """
    strips = ceil(patches / most_rows)
    rows = ceil(patches / strips)
    strips = ceil(patches / rows)
    starts = np.append(np.arange(strips) * rows, patches)
    if strips > 1 and patches - starts[-2] < FULL_ENOUGH * rows:
        starts[-2] = starts[-3] + ceil((patches - starts[-3]) / 2)
    return starts


def _room(recipe: ChartRecipe, path: str | Path) -> _Room:
    width, _ = page_size_mm(recipe, path)
    page, patch, reading = recipe.page, recipe.patch, recipe.reading
    left, right = page.margin_left_mm, width - page.margin_right_mm
    inner = right - left
    swept = reading.mode is ReadingMode.BY_STRIP
    words = page_words(recipe, recipe.patches or 6000, "00000000", 99, 99)
    _, header_height = header(left, 0, inner, recipe.title, *words, how_to_print(recipe))
    _, footer_height = footer(left, 0, inner, recipe)
    numbers = NUMBERS_MM * (1 if swept else 2)
    wide = inner - GUTTER_MM - numbers
    guide = GUIDE_MM if swept else 0.0
    outer = patch.gap_rows_mm if reading.dividers else 0.0
    above = LETTERS_MM + guide + reading.run_in_mm + outer
    strips = how_many(wide, patch.width_mm, patch.gap_columns_mm)
    if strips < 2:
        raise _no_room(path, "patch.width_mm", patch.width_mm, wide)
    return _Room(
        width=width,
        left=left,
        right=right,
        block_left=left + GUTTER_MM + NUMBERS_MM,
        bands_top=page.margin_top_mm + header_height + APART_MM,
        wide=wide,
        around=above + outer + reading.run_out_mm + guide + LETTERS_MM,
        above=above,
        footer_height=footer_height,
        longest=reading.longest_strip_mm or float("inf"),
        strips=strips,
    )


def _bands(recipe: ChartRecipe, room: _Room, height: float, path: str | Path) -> tuple[int, int]:
    """Return how many bands a page has and how many rows each has at most: most patches, bands only where they pay."""
    area = height - recipe.page.margin_bottom_mm - room.footer_height - APART_MM - room.bands_top
    patch = recipe.patch
    best, gain = (1, 0), 0.0
    for bands in range(1, _MOST_BANDS + 1):
        tall = min(room.longest, (area - (bands - 1) * APART_MM) / bands - room.around)
        rows = how_many(tall, patch.height_mm, patch.gap_rows_mm)
        if bands == 1 and rows < 2:
            raise _no_room(path, "patch.height_mm", patch.height_mm, tall)
        if rows >= 2 and bands * rows * _BAND_COST ** (bands - 1) > gain:
            best, gain = (bands, rows), bands * rows * _BAND_COST ** (bands - 1)
    return best


def _roll_height(recipe: ChartRecipe, room: _Room, path: str | Path) -> float:
    """Return the length to be cut from a roll: as short as the patches allow, in whole mm."""
    most = (recipe.patches or 6000) if recipe.pages is None else min(recipe.patches or 6000, 6000)
    around = room.bands_top + APART_MM + room.footer_height + recipe.page.margin_bottom_mm
    for bands in range(1, _MOST_BANDS + 1):
        rows = max(ceil(most / (bands * room.strips)), min(_FEWEST_ROWS, most), 2)
        length = _length(recipe, rows)
        height = ceil(around + bands * (room.around + length) + (bands - 1) * APART_MM)
        if length <= room.longest and height <= LONGEST_ROLL_MM:
            return float(max(height, LIMITS["page.height_mm"][0]))
    return LONGEST_ROLL_MM


def _count(recipe: ChartRecipe, capacity: int, path: str | Path) -> int:
    """Return the number of patches of a recipe whose pages hold capacity patches each."""
    low, high = LIMITS["patches"]
    if recipe.pages is None:
        return recipe.patches or 0
    fit = min(capacity * recipe.pages, recipe.patches or int(high), int(high))
    if fit < low:
        raise RecipeError(
            path, "pages", f"{recipe.pages}, with room for {fit} patches", f"room for {low:g}", "Ask for more pages."
        )
    return fit


def _no_room(path: str | Path, key: str, size: float, room: float) -> RecipeError:
    return RecipeError(
        path,
        key,
        f"{size:g} mm, and {max(room, 0):.1f} mm of room on the page",
        "room for two patches at least",
        "Choose smaller patches, margins or run-in and run-out, or a larger page.",
    )


def page_words(recipe: ChartRecipe, patches: int, chart_id: str, page: int, pages: int) -> tuple[str, str]:
    """Return the words of the header: page n of m, and facts about the chart.

    chart_id: eight hexadecimal digits. page: from 1. Facts are the id, patches, kind of values, ink limit where there is one,
    and the seed, so that the chart can be made again.
    """
    named = recipe.channels if isinstance(recipe.channels, str) else ", ".join(channel_names(recipe))
    limit = f", total area at most {recipe.total_area:g} %" if recipe.total_area is not None else ""
    numbers = {"lab": "CIELAB colours", "oprgb": "opRGB colours"}.get(recipe.proof.way, f"{named} device values")
    facts = f"Chart {chart_id}, {patches} patches, {numbers}{limit}, seed {recipe.seed}"
    return f"page {page} of {pages}", facts


def how_many(room: float, size: float, gap: float) -> int:
    """Return how many things of a size fit into a room, with gaps between them.

    All in mm. A room of nothing or less holds none; what fits to a billionth of a millimetre fits.

    >>> how_many(100.0, 9.0, 1.0), how_many(99.0, 9.0, 1.0), how_many(-1.0, 9.0, 1.0)
    (10, 10, 0)
    """
    return int((room + gap + 1e-9) // (size + gap)) if room > 0 else 0


def _length(recipe: ChartRecipe, rows: int) -> float:
    return rows * (recipe.patch.height_mm + recipe.patch.gap_rows_mm) - recipe.patch.gap_rows_mm


def slots(grid: Grid) -> IntArray:
    """Return the places of patches in reading order, (patches, 3): page, row, column, from 1."""
    starts = np.array(grid.starts)
    strip = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
    row = np.arange(len(strip)) - starts[strip]
    page, column = strip // grid.strips_a_page, strip % grid.strips_a_page
    return np.stack([page + 1, row + 1, column + 1], axis=1)


def page_starts(grid: Grid) -> IntArray:
    """Return the first place of each page, and the number of patches, (pages + 1,)."""
    return np.array([*grid.starts[:-1][:: grid.strips_a_page], grid.starts[-1]])


def slot_boxes(grid: Grid, recipe: ChartRecipe, positions: IntArray) -> FloatArray:
    """Return left, top, width and height (n, 4), mm, of places (n, 3).

    positions: page, row and column, from 1. Rounded to a ten-thousandth of a millimetre, so that equal pages have equal files.
    """
    patch = recipe.patch
    column, row = positions[:, 2] - 1, positions[:, 1] - 1
    band, across = column // grid.strips_a_band, column % grid.strips_a_band
    boxes = np.empty((len(positions), 4))
    boxes[:, 0] = grid.block_left + across * (patch.width_mm + patch.gap_columns_mm)
    boxes[:, 1] = np.array(grid.band_tops)[band] + row * (patch.height_mm + patch.gap_rows_mm)
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
