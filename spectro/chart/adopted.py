"""A chart made elsewhere as a chart of ours: its patches in reading order, its places, what can be told of it.

What a list does not say is not made up: sizes of page and patches in the recipe are stand-ins, and the chart's origin
says so; pages are not drawn from them.
"""

from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np

from spectro.chart.channels import CMYK, GREY, RGB, SHORT, are_inks
from spectro.chart.design import content_id, measured_chart
from spectro.chart.layout import strip_letters
from spectro.chart.recipe import recipe_from_table
from spectro.chart.recipe_limits import LIMITS
from spectro.errors import InputError, RecipeError
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ChartRecipe, ReadingMode
from spectro.records.chart_list import ChartList
from spectro.records.chart_origin import ChartOrigin, OriginKind

MOST_ALONG = 390
"""Rows, or columns, of a page that the stand-in sizes have room for: the smallest patch on the largest page of a recipe."""

_MARGIN_MM, _PATCH_MM, _SMALLEST_MM = 10.0, 8.0, 3.0
_TITLE_LENGTH = 80
_CMY = CMYK[:3]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """What the user says of a layout that the lists do not tell."""

    patches_a_strip: int | None = None  # None: places stand in the lists
    strips_a_page: int | None = None  # None: a file is a page
    listed_across: bool = False  # neighbours in the list stand in neighbouring strips, not along one
    strips_are_rows: bool = False  # strips run across the page: what the lists call a row is read in one sweep


def adopted_chart(
    listed: ChartList,
    *,
    arrangement: Arrangement,
    mode: ReadingMode,
    channels: tuple[str, ...] | None = None,
    ink_colours: dict[str, list[float]] | None = None,
    title: str | None = None,
) -> Chart:
    """Return a chart of the patches of some lists, device values bit for bit as read.

    channels: names, where the lists do not say them. ink_colours: Lab of the full tone of inks of no known name.
    Raises InputError naming the option that decides what the lists do not tell.
    """
    names, device = _channels(listed, channels)
    places = _places(listed, arrangement)
    low, high = 1, int(LIMITS["patches"][1])
    if not low <= len(listed) <= high:
        raise InputError(f"{len(listed)} patches", f"at most {high}", "Adopt the pages in parts.")
    rows, columns = (int(places[:, axis].max()) for axis in (1, 2))
    if max(rows, columns) > MOST_ALONG:
        raise InputError(
            f"{rows} rows and {columns} columns on a page",
            f"at most {MOST_ALONG}",
            "Give `patches_a_strip` and `strips_a_page`.",
        )
    order = np.lexsort((places[:, 1], places[:, 2], places[:, 0]))
    device, places = device[order], places[order]
    side = max(_SMALLEST_MM, min(_PATCH_MM, (LIMITS["page.width_mm"][1] - 2 * _MARGIN_MM) / max(rows, columns)))
    side = float(np.floor(side * 10) / 10)
    page_mm = (
        max(LIMITS["page.width_mm"][0], 2 * _MARGIN_MM + columns * side),
        max(LIMITS["page.height_mm"][0], 2 * _MARGIN_MM + rows * side),
    )
    table: dict[str, Any] = {
        "format": 1,
        "title": _title(title, listed),
        "seed": 0,
        "page": {"width_mm": page_mm[0], "height_mm": page_mm[1], "resolution_dpi": 150},
        "patch": {"width_mm": side, "height_mm": side},
        "reading": {"mode": str(mode)},
        **_count(len(listed), int(places[:, 0].max())),
    }
    recipe = _recipe(table, names, device, ink_colours)
    boxes = np.empty((len(device), 4))
    boxes[:, 0] = _MARGIN_MM + (places[:, 2] - 1) * side
    boxes[:, 1] = _MARGIN_MM + (places[:, 1] - 1) * side
    boxes[:, 2:] = side
    boxes = np.round(boxes, 4)
    strips = np.unique(places[:, [0, 2]], axis=0, return_inverse=True)[1].reshape(-1)
    starts = np.append(np.flatnonzero(np.diff(strips, prepend=-1)), len(device))
    return measured_chart(
        recipe,
        device,
        starts,
        chart_id=content_id(recipe, device, places, boxes),
        sample_ids=tuple(listed.sample_ids[index] for index in order.tolist()),
        sample_names=_names([listed.sample_names[index] for index in order.tolist()], strips, places),
        stanzas=_stanzas(device),
        positions=places,
        boxes_mm=boxes,
        page_mm=page_mm,
        rows=int(np.diff(starts).max()),
        origin=ChartOrigin(kind=OriginKind.ADOPTED, sources=listed.sources, chart_id=listed.chart_id, sizes_known=False),
    )


def _count(patches: int, pages: int) -> dict[str, int]:
    """Return what a recipe asks for: patches, or pages where it cannot ask for so few patches."""
    return {"patches": patches} if patches >= LIMITS["patches"][0] else {"pages": pages}


def _recipe(
    table: dict[str, Any], names: tuple[str, ...], device: FloatArray, ink_colours: dict[str, list[float]] | None
) -> ChartRecipe:
    """Return the recipe of a table with channels and inks added. Raises InputError naming the option to blame."""
    table["channels"] = next((word for word, known in SHORT.items() if known == names), list(names))
    most = ceil(round(float(device.sum(axis=1).max()) * 100, 6))
    if are_inks(names) and LIMITS["total_area"][0] <= most < 100 * len(names):
        table["total_area"] = float(most)  # no patch has more; whether the printer could bear more is not known
    if ink_colours:
        table["ink_colours"] = ink_colours
    try:
        return recipe_from_table(table, "the chart")
    except RecipeError as error:
        option = {"channels": "`channels`: ", "title": "`title`: "}.get(error.key, "`ink_colours`: ")
        fix = "Give `channels` with other names, or `ink_colours` NAME=L,a,b." if error.key == "channels" else error.fix
        raise InputError(f"{option}{error.found}", error.expected, fix) from None


def empty_places(chart: Chart) -> int:
    """Return how many places within the strips of a chart hold no patch."""
    _, strip = np.unique(chart.positions[:, [0, 2]], axis=0, return_inverse=True)
    lengths = np.zeros(strip.max() + 1, dtype=np.int64)
    np.maximum.at(lengths, strip.reshape(-1), chart.positions[:, 1])
    return int(lengths.sum()) - len(chart)


def _channels(listed: ChartList, wanted: tuple[str, ...] | None) -> tuple[tuple[str, ...], FloatArray]:
    """Return the channels' names and the device values in them."""
    known: tuple[str, ...] | None = {"RGB": RGB, "CMYK": CMYK, "CMY": _CMY}.get(listed.colour_space) or listed.inks or None
    device = listed.device
    if listed.colour_space == "GRAY":
        known = GREY if listed.grey_is_light else None
    if listed.colour_space == "RGB" and wanted == GREY:
        if (device != device[:, :1]).any():
            raise InputError("RGB values that are not equal", "equal ones for `channels` grey", "Leave `channels` out.")
        return GREY, device[:, :1].copy()
    if wanted is None:
        if known is None and listed.colour_space == "GRAY":
            raise InputError(
                "grey values, and no word on whether they count light or ink", "one of the two",
                "Give `channels` grey where the largest value is bare paper, `channels` black where it is full ink.",
            )  # fmt: skip
        if known is None:
            raise InputError(
                f"{device.shape[1]} inks without names", "their names in the order of the list",
                "Give `channels`, such as cyan,magenta,yellow,black,orange,green.",
            )  # fmt: skip
        return known, device
    if len(wanted) != device.shape[1] or (known in (RGB, CMYK) and wanted != known):
        raise InputError(
            f"`channels` {','.join(wanted)} for {listed.colour_space} values",
            f"{device.shape[1]} names that fit",
            "Correct it.",
        )
    if known and set(known) == set(wanted):
        return wanted, device[:, [known.index(name) for name in wanted]]
    if known is not None and are_inks(known) != are_inks(wanted):
        raise InputError(f"`channels` {','.join(wanted)}", ",".join(known), "Leave it out.")
    return wanted, device


def _places(listed: ChartList, arrangement: Arrangement) -> IntArray:
    """Return page, row and column of each patch in the order of the list, strips down the columns."""
    along, page_strips = arrangement.patches_a_strip, arrangement.strips_a_page
    for option, value in (("`patches_a_strip`", along), ("`strips_a_page`", page_strips)):
        if value is not None and value < 1:
            raise InputError(f"{option} {value}", "1 or more", "Correct it.")
    if along is None:
        if not listed.placed:
            raise InputError(
                f"no places in {', '.join(source.name for source in listed.sources)}: neither fields ROW and COLUMN nor labels "
                "such as A1", "how many patches a strip has",
                "Give `patches_a_strip` (with `listed` across where the list runs over the strips, and `strips_a_page` where "
                "one file holds several pages).",
            )  # fmt: skip
        if arrangement.listed_across:
            raise InputError("`listed` across, and places in the list", "one of the two", "Leave `listed` out.")
        places = listed.places.copy()
    else:
        places = np.empty((len(listed), 3), dtype=np.int64)
        for file in range(len(listed.sources)):
            here = np.flatnonzero(listed.files == file)
            index = np.arange(len(here))
            if arrangement.listed_across:
                strips = page_strips or -(-len(here) // along)
                sheet, rest = index // (strips * along), index % (strips * along)
                row, column = rest // strips, rest % strips + sheet * strips
            else:
                column, row = index // along, index % along
            places[here, 0], places[here, 1], places[here, 2] = file + 1, row + 1, column + 1
    if arrangement.strips_are_rows and along is None:
        places = places[:, [0, 2, 1]]
    if page_strips is not None:
        places = _in_pages(places, page_strips)
    return places


def _in_pages(places: IntArray, strips: int) -> IntArray:
    """Return places with the strips of each page cut into pages of so many strips."""
    result = places.copy()
    before = 0
    for page in np.unique(places[:, 0]).tolist():
        here = places[:, 0] == page
        part = (places[here, 2] - 1) // strips
        result[here, 0] = before + part + 1
        result[here, 2] = (places[here, 2] - 1) % strips + 1
        before += int(part.max()) + 1
    return result


def _names(names: list[str], strips: IntArray, places: IntArray) -> tuple[str, ...]:
    """Return the names of patches: their own, if all have one and none comes twice; else strip letters and row."""
    if all(names) and len(set(names)) == len(names):
        return tuple(names)
    return tuple(f"{strip_letters(strip + 1)}{row}" for strip, row in zip(strips.tolist(), places[:, 1].tolist(), strict=True))


def _stanzas(device: FloatArray) -> tuple[str, ...]:
    """Return "own" for the first printing of each device value, "repeats" for all others."""
    seen: set[tuple[float, ...]] = set()
    words = []
    for row in map(tuple, device.tolist()):
        words.append("repeats" if row in seen else "own")
        seen.add(row)
    return tuple(words)


def _title(title: str | None, listed: ChartList) -> str:
    """Return the title: as given, else what the list says of itself as far as a page can print it."""
    if title is not None:
        return title
    own = "".join(char for char in listed.title if char.isprintable() and ord(char) < 256 and char != '"').strip()
    return own[:_TITLE_LENGTH].strip() or f"Adopted chart of {len(listed)} patches"
