"""The page picture of readings: every patch at its place as it was read, its device values beside it, doubts marked."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.chart.generic_printer import predict_ink_lab
from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray
from spectro.records.readings_sheet import ReadingsSheet
from spectro.report.style import FIGURE_WIDTH_IN, INK, PAPER, QUIET, SMALL_PT, figure_style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDE, TALL = 14, 12  # raster points of a cell, of which one on every side is gap
DEVICE = 4  # raster points of the device colour at the right of a cell
_LEFT_IN, _TOP_IN, _EDGE_IN, _BETWEEN_IN, _TITLE_IN = 0.34, 0.40, 0.05, 0.16, 0.24
_LARGEST_CELL_IN, _TALLEST_IN, _LEAST_TALL_IN = 0.34, 7.0, 0.13
_INKS = ("cyan", "magenta", "yellow", "black")


def device_colours(device: FloatArray, colour_space: str) -> FloatArray:
    """Return screen colours (n, 3), 0 to 1, that stand for device values (n, channels), 0 to 1: roughly what was asked for.

    RGB and grey as they are; the four common inks as on a generic printer; inks of no known name as greys.
    """
    device = np.asarray(device, dtype=np.float64)
    if colour_space == "RGB":
        return device
    if colour_space == "GRAY":
        return np.repeat(device, 3, axis=1)
    if colour_space in ("CMY", "CMYK"):
        return lab_to_srgb(predict_ink_lab(device, _INKS[: device.shape[1]]))
    return np.repeat(np.clip(1 - device.mean(axis=1, keepdims=True), 0, 1), 3, axis=1)


def plot_readings_page(sheet: ReadingsSheet, page: int) -> "Figure":
    """Draw one page, counted from 1."""
    return plot_readings_pages(sheet, (page,), titles=False)


def plot_readings_pages(sheet: ReadingsSheet, pages: tuple[int, ...] = (), *, titles: bool = True) -> "Figure":
    """Draw pages, all unless some are named, one above the other; with titles each says its number and the file's name."""
    from matplotlib.figure import Figure

    numbers = pages or sheet.layout.pages
    title = _TITLE_IN if titles else 0.0
    sizes = [_cell(sheet, page) for page in numbers]
    heights = [tall * lines + _TOP_IN + title for _, tall, lines, _ in sizes]
    total = sum(heights) + _BETWEEN_IN * (len(numbers) - 1) + _EDGE_IN
    with figure_style():
        figure = Figure(figsize=(FIGURE_WIDTH_IN, total))
        top = 0.0
        for page, (wide, tall, lines, columns), height in zip(numbers, sizes, heights, strict=True):
            bottom = 1 - (top + title + _TOP_IN + tall * lines) / total
            box = (_LEFT_IN / FIGURE_WIDTH_IN, bottom, wide * columns / FIGURE_WIDTH_IN, tall * lines / total)
            axes = figure.add_axes(box)
            _draw(axes, sheet, page, lines, columns)
            if titles:
                words = f"{sheet.file}, page {page}: as read, device values at the right of each patch"
                figure.text(_LEFT_IN / FIGURE_WIDTH_IN, 1 - (top + 0.16) / total, words, fontsize=SMALL_PT, color=QUIET)
            top += height + _BETWEEN_IN
    return figure


def page_words(sheet: ReadingsSheet, page: int) -> str:
    """Return what the picture of a page shows, for people who hear it."""
    places = sheet.layout.on_page(page)
    patches = sum(len(sheet.layout.strips[place].rows) for place in places)
    doubts = sum(note.page == page for note in sheet.notes)
    words = (
        f"Page {page}: {len(places)} strips of {patches} patches in the colours as read, each with its device values next to it"
    )
    return words + (f"; {doubts} doubts are framed." if doubts else "; nothing is marked.")


def _cell(sheet: ReadingsSheet, page: int) -> tuple[float, float, int, int]:
    """Return width and height of a cell in inches, lines and columns."""
    places = sheet.layout.on_page(page)
    columns, lines = len(places), max(lines_of(sheet, place).max() for place in places) + 1
    wide = min((FIGURE_WIDTH_IN - _LEFT_IN - _EDGE_IN) / columns, _LARGEST_CELL_IN)
    return wide, min(max(wide * TALL / WIDE, _LEAST_TALL_IN), _TALLEST_IN / lines), int(lines), columns


def lines_of(sheet: ReadingsSheet, place: int) -> np.ndarray[tuple[int, ...], np.dtype[np.int64]]:
    """Return the line in the picture, from 0, of each patch of a strip."""
    rows = sheet.layout.strips[place].rows
    return sheet.layout.positions[rows, 1] - 1 if len(sheet.layout.positions) else np.arange(len(rows))


def _draw(axes: "Axes", sheet: ReadingsSheet, page: int, lines: int, columns: int) -> None:
    places = sheet.layout.on_page(page)
    axes.imshow(
        _raster(sheet, places, lines, columns),
        extent=(-0.5, columns - 0.5, lines - 0.5, -0.5),
        interpolation="none",
        aspect="auto",
    )
    axes.set(xlim=(-0.5, columns - 0.5), ylim=(lines - 0.5, -0.5), autoscale_on=False)
    axes.spines[:].set_visible(False)
    axes.xaxis.tick_top()
    axes.tick_params(length=0, pad=2)
    names = [sheet.layout.strips[place].name for place in places]
    said = [name.removeprefix("rows ").split("-")[0] if name.startswith("rows ") else name for name in names]
    step = max(1, -(-columns * max(map(len, said)) // 50))
    shown = list(range(0, columns, step))
    axes.set_xticks(shown, [said[at] for at in shown])
    step = 1 if lines <= 6 else 5
    numbers = [line for line in range(lines) if line == 0 or (line + 1) % step == 0]
    axes.set_yticks(numbers, [str(line + 1) for line in numbers])
    _mark(axes, sheet, page, names)


def _raster(sheet: ReadingsSheet, places: tuple[int, ...], lines: int, columns: int) -> FloatArray:
    """Return the picture (lines * TALL, columns * WIDE, 3), sRGB 0 to 1. Where nothing was read, the bar alone."""
    layout = sheet.layout
    picture = np.ones((lines, TALL, columns, WIDE, 3))
    first: dict[str, int] = {}
    for row, identity in enumerate(sheet.measurements.sample_ids):
        first.setdefault(identity, row)
    asked = device_colours(layout.device, layout.colour_space)
    read = lab_to_srgb(sheet.lab)
    for column, place in enumerate(places):
        for line, row in zip(lines_of(sheet, place).tolist(), layout.strips[place].rows.tolist(), strict=True):
            picture[line, 1:-1, column, WIDE - 1 - DEVICE : WIDE - 1] = asked[row]
            at = first.get(layout.sample_ids[row])
            if at is not None:
                picture[line, 1:-1, column, 1 : WIDE - 1 - DEVICE] = read[at]
    return picture.reshape(lines * TALL, columns * WIDE, 3)


def _mark(axes: "Axes", sheet: ReadingsSheet, page: int, names: list[str]) -> None:
    """Frame questionable patches, and whole strips with a mark above their name."""
    where = {}
    for column, place in enumerate(sheet.layout.on_page(page)):
        for line, row in zip(lines_of(sheet, place).tolist(), sheet.layout.strips[place].rows.tolist(), strict=True):
            where[sheet.layout.patch_name(row)] = (line, column)
    for note in sheet.notes:
        if note.page != page:
            continue
        if note.strip and note.strip in names and note.seems != "bad patch":
            column = names.index(note.strip)
            last = max(line for line, at in where.values() if at == column)
            _frame(axes, column - 0.5, -0.5, 1, last + 1)
            label = axes.annotate(
                "▼", (column, -0.5), xytext=(0, 13), textcoords="offset points", ha="center", va="bottom", fontsize=7, color=INK
            )
            label.set_annotation_clip(False)
        if note.seems == "bad patch":
            for patch in note.patches:
                if patch in where:
                    line, column = where[patch]
                    _frame(axes, column - 0.5, line - 0.5, 1, 1)


def _frame(axes: "Axes", left: float, top: float, width: float, height: float) -> None:
    from matplotlib.patches import Rectangle

    for colour, line, order in ((PAPER, 3.0, 4), (INK, 1.4, 5)):
        box = Rectangle((left, top), width, height, fill=False, edgecolor=colour, linewidth=line)
        box.set(clip_on=False, zorder=order)
        axes.add_patch(box)
