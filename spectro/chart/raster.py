"""Pages as pixels: boxes with their edges on pixel borders and exact values, text with smooth edges."""

from collections.abc import Iterable

import numpy as np

from spectro.chart.fonts import raster_font, text_width_mm
from spectro.chart.marks import Box, Mark, Text
from spectro.records.arrays import AnyArray, FloatArray

_MM_AN_INCH = 25.4


def raster_page(marks: Iterable[Mark], page_mm: tuple[float, float], dpi: int, full: int) -> AnyArray:
    """Return a page (height, width, 3) of unsigned integers, white where nothing is drawn.

    full: the integer of device value 1: 255 (8 bits) or 65535 (16 bits). A box covers the pixels between its edges,
    each rounded to the nearest pixel border, one pixel at least; so no edge is off by more than half a pixel.
    """
    pixels_a_mm = dpi / _MM_AN_INCH
    shape = (round(page_mm[1] * pixels_a_mm), round(page_mm[0] * pixels_a_mm), 3)
    page = np.full(shape, full, dtype=np.uint8 if full < 256 else np.uint16)
    for mark in marks:
        if isinstance(mark, Box):
            _paint_box(page, mark, pixels_a_mm, full)
        else:
            _paint_text(page, mark, pixels_a_mm, dpi, full)
    return page


def pixel_span(start_mm: float, length_mm: float, pixels_a_mm: float) -> tuple[int, int]:
    """Return first pixel and the one behind the last.

    >>> pixel_span(25.4, 0.01, 300 / 25.4)
    (300, 301)
    """
    first = round(start_mm * pixels_a_mm)
    return first, max(round((start_mm + length_mm) * pixels_a_mm), first + 1)


def _paint_box(page: AnyArray, box: Box, pixels_a_mm: float, full: int) -> None:
    top, bottom = pixel_span(box.top, box.height, pixels_a_mm)
    left, right = pixel_span(box.left, box.width, pixels_a_mm)
    page[top:bottom, left:right] = [round(value * full) for value in box.device]


def _paint_text(page: AnyArray, text: Text, pixels_a_mm: float, dpi: int, full: int) -> None:
    """Blend a line of text into the page; what would lie off the page is cut."""
    cover, left_of_anchor, above = _text_cover(text, pixels_a_mm, dpi)
    column, row = round(text.x * pixels_a_mm), round(text.baseline * pixels_a_mm)
    if text.upright:  # a quarter turn against the clock about the anchor
        column, row = column - above, row - (cover.shape[1] - left_of_anchor)
        cover = np.rot90(cover)
    else:
        column, row = column - left_of_anchor, row - above
    top, left = max(row, 0), max(column, 0)
    bottom, right = min(row + cover.shape[0], page.shape[0]), min(column + cover.shape[1], page.shape[1])
    if bottom <= top or right <= left:
        return
    cover = cover[top - row : bottom - row, left - column : right - column, None]
    under = page[top:bottom, left:right]
    page[top:bottom, left:right] = np.rint(under + cover * (np.array(text.device) * full - under))


def _text_cover(text: Text, pixels_a_mm: float, dpi: int) -> tuple[FloatArray, int, int]:
    """Return how much of each pixel a line of text covers, 0 to 1, and how far the anchor is from its left and top.

    Every letter stands where the PDF has it: widths are the typeface's own, not those of a screen.
    """
    from PIL import Image, ImageDraw

    font = raster_font(text.font, text.size_pt * dpi / 72)
    width = text_width_mm(text.text, text.font, text.size_pt) * pixels_a_mm
    start = {"left": 0.0, "centre": -width / 2, "right": -width}[text.align]
    margin = int(np.ceil(font.size)) + 1
    left_of_anchor = int(np.ceil(-start)) + margin
    picture = Image.new("L", (int(np.ceil(width)) + 2 * margin + 1, 2 * margin), 0)
    draw = ImageDraw.Draw(picture)
    for index, letter in enumerate(text.text):
        before = text_width_mm(text.text[:index], text.font, text.size_pt) * pixels_a_mm
        draw.text((left_of_anchor + start + before, margin), letter, fill=255, font=font, anchor="ls")
    return np.asarray(picture, dtype=np.float64) / 255, left_of_anchor, margin
