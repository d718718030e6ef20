"""Pages as pixels: boxes with their edges on pixel borders and exact values, text with smooth edges."""

import functools
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from spectro.chart.fonts import raster_font, text_width_mm
from spectro.chart.marks import Box, Mark, Text
from spectro.records.arrays import AnyArray, FloatArray

_MM_AN_INCH = 25.4


def raster_page(marks: Iterable[Mark], page_mm: tuple[float, float], dpi: int, full: int) -> AnyArray:
    """Return a page (height, width, channels) of unsigned integers, bare paper where nothing is drawn.

    full: the integer of device value 1: 255 (8 bits) or 65535 (16 bits).
    A box covers the pixels between its edges, each rounded to the nearest pixel border, one pixel at least; so no edge
    is off by more than half a pixel.
    """
    (page,) = raster_bands(list(marks), page_mm, dpi, full, (1.0, 1.0, 1.0), page_size_px(page_mm, dpi)[0])
    return page


def page_size_px(page_mm: tuple[float, float], dpi: int) -> tuple[int, int]:
    """Return height and width of a page in pixels."""
    return round(page_mm[1] * dpi / _MM_AN_INCH), round(page_mm[0] * dpi / _MM_AN_INCH)


def raster_bands(
    marks: Sequence[Mark], page_mm: tuple[float, float], dpi: int, full: int, paper: tuple[float, ...], rows: int
) -> Iterator[AnyArray]:
    """Yield a page from top to bottom in bands (rows, width, channels), the last one perhaps lower; see `raster_page`.

    Large pages never lie in memory as a whole.
    """
    pixels_a_mm = dpi / _MM_AN_INCH
    height, width = page_size_px(page_mm, dpi)
    spans = [_rows_of(mark, pixels_a_mm, dpi) for mark in marks]
    empty = [round(value * full) for value in paper]
    for start in range(0, height, rows):
        stop = min(start + rows, height)
        band = np.empty((stop - start, width, len(paper)), dtype=np.uint8 if full < 256 else np.uint16)
        band[:] = empty
        for mark, (first, last) in zip(marks, spans, strict=True):
            if last <= start or first >= stop:
                continue
            if isinstance(mark, Box):
                _paint_box(band, mark, pixels_a_mm, full, start)
            else:
                _paint_text(band, mark, pixels_a_mm, dpi, full, start)
        yield band


def _rows_of(mark: Mark, pixels_a_mm: float, dpi: int) -> tuple[int, int]:
    """Return the first row of pixels that a mark may touch and the one behind the last."""
    if isinstance(mark, Box):
        return pixel_span(mark.top, mark.height, pixels_a_mm)
    row = round(mark.baseline * pixels_a_mm)
    reach = int(mark.size_pt * dpi / 72) + 4
    if mark.upright:
        reach += int(text_width_mm(mark.text, mark.font, mark.size_pt) * pixels_a_mm)
    return row - reach, row + reach


def pixel_span(start_mm: float, length_mm: float, pixels_a_mm: float) -> tuple[int, int]:
    """Return first pixel and the one behind the last.

    >>> pixel_span(25.4, 0.01, 300 / 25.4)
    (300, 301)
    """
    first = round(start_mm * pixels_a_mm)
    return first, max(round((start_mm + length_mm) * pixels_a_mm), first + 1)


def _paint_box(band: AnyArray, box: Box, pixels_a_mm: float, full: int, start: int) -> None:
    top, bottom = pixel_span(box.top, box.height, pixels_a_mm)
    left, right = pixel_span(box.left, box.width, pixels_a_mm)
    top, bottom = max(top - start, 0), min(bottom - start, len(band))
    band[top:bottom, max(left, 0) : right] = [round(value * full) for value in device_of(box)]


def device_of(mark: Mark) -> tuple[float, ...]:
    """Return the device values of a mark whose shade was turned into channels."""
    if not isinstance(mark.device, tuple):
        raise TypeError("a shade that was not turned into device values")
    return mark.device


def _paint_text(band: AnyArray, text: Text, pixels_a_mm: float, dpi: int, full: int, start: int) -> None:
    """Blend a line of text into the band; what would lie off it is cut."""
    cover, left_of_anchor, above = text_cover(text.text, text.font, text.size_pt, text.align, dpi)
    column, row = round(text.x * pixels_a_mm), round(text.baseline * pixels_a_mm) - start
    if text.upright:  # a quarter turn against the clock about the anchor
        column, row = column - above, row - (cover.shape[1] - left_of_anchor)
        cover = np.rot90(cover)
    else:
        column, row = column - left_of_anchor, row - above
    top, left = max(row, 0), max(column, 0)
    bottom, right = min(row + cover.shape[0], band.shape[0]), min(column + cover.shape[1], band.shape[1])
    if bottom <= top or right <= left:
        return
    cover = cover[top - row : bottom - row, left - column : right - column, None]
    under = band[top:bottom, left:right]
    band[top:bottom, left:right] = np.rint(under + cover * (np.array(device_of(text)) * full - under))


@functools.lru_cache(maxsize=512)
def text_cover(words: str, name: str, size_pt: float, align: str, dpi: int) -> tuple[FloatArray, int, int]:
    """Return how much of each pixel a line of text covers, 0 to 1, and how far the anchor is from its left and top.

    Every letter stands where the PDF has it: widths are the typeface's own, not those of a screen.
    """
    from PIL import Image, ImageDraw

    pixels_a_mm = dpi / _MM_AN_INCH
    font = raster_font(name, size_pt * dpi / 72)
    width = text_width_mm(words, name, size_pt) * pixels_a_mm
    start = {"left": 0.0, "centre": -width / 2, "right": -width}[align]
    margin = int(np.ceil(font.size)) + 1
    left_of_anchor = int(np.ceil(-start)) + margin
    picture = Image.new("L", (int(np.ceil(width)) + 2 * margin + 1, 2 * margin), 0)
    draw = ImageDraw.Draw(picture)
    for index, letter in enumerate(words):
        before = text_width_mm(words[:index], name, size_pt) * pixels_a_mm
        draw.text((left_of_anchor + start + before, margin), letter, fill=255, font=font, anchor="ls")
    return np.asarray(picture, dtype=np.float64) / 255, left_of_anchor, margin
