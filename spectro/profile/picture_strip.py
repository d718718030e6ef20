"""A test strip: one part of a picture converted in several ways, laid on a small sheet with what makes each below it.

All of the sheet, its words too, stands in the numbers of the paper, so that it is printed as pictures are.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.chart.fonts import REGULAR
from spectro.chart.raster import text_cover
from spectro.colour.lightening import lightened
from spectro.profile.picture_conversion import PictureProfile, Step, converted_rows, srgb_picture_profile
from spectro.records.arrays import AnyArray
from spectro.records.conditions import RenderingIntent

GAP_MM, MARGIN_MM, CAPTION_MM = 3.0, 4.0, 5.5
_CAPTION_PT, _MM_AN_INCH = 7.0, 25.4
_INK = 45  # of 255: how dark words are


@dataclass(frozen=True, slots=True, kw_only=True)
class StripTile:
    """One way of conversion and the words below it."""

    intent: RenderingIntent
    wall_lux: float | None
    caption: str


def strip_page(
    part: AnyArray,
    source: PictureProfile,
    target: PictureProfile,
    tiles: Sequence[Sequence[StripTile]],
    *,
    ppi: float,
    title: str,
    black_compensation: bool = True,
) -> AnyArray:
    """Return the sheet (rows, columns, channels of target), uint16.

    part: (rows, columns, channels of source), uint8 or uint16, of the picture, as large as each tile. tiles: row by row,
    all of one length. ppi: pixels an inch of the print.
    """
    scale = ppi / _MM_AN_INCH
    gap, margin, low = (round(length * scale) for length in (GAP_MM, MARGIN_MM, CAPTION_MM))
    high, wide = part.shape[:2]
    columns = len(tiles[0])
    width = max(columns * (wide + gap) - gap, _width(title, ppi)) + 2 * margin
    height = low + len(tiles) * (high + low + gap) - gap + 2 * margin
    words = np.full((height, width, 3), 255, np.uint8)
    set_words(words, title, margin, margin + round(low * 0.6), ppi)
    places = []
    for row, line in enumerate(tiles):
        top = margin + low + row * (high + low + gap)
        for column, tile in enumerate(line):
            left = margin + column * (wide + gap)
            set_words(words, tile.caption, left, top + high + round(low * 0.62), ppi)
            places.append((tile, top, left))
    plain = Step(source=srgb_picture_profile(), target=target, intent=RenderingIntent.RELATIVE, black_compensation=True)
    page = converted_rows(words, (plain,), 16)
    for tile, top, left in places:
        step = Step(source=source, target=target, intent=tile.intent, black_compensation=black_compensation)
        values = part if tile.wall_lux is None else lightened(part, tile.wall_lux, space=source.space)
        page[top : top + high, left : left + wide] = converted_rows(values, (step,), 16)
    return page


def caption_width_mm(captions: Sequence[str]) -> float:
    """Return how wide the widest of some captions is, mm."""
    return max(_width(caption, _MM_AN_INCH * 10) / 10 for caption in captions)


def _width(words: str, ppi: float) -> int:
    cover, left, _ = text_cover(words, REGULAR, _CAPTION_PT, "left", round(ppi))
    return int(cover.shape[1] - 2 * left)


def set_words(page: AnyArray, words: str, left: int, baseline: int, ppi: float) -> None:
    """Set words into the page (rows, columns, 3), uint8, dark on white, at pixels; what does not fit is cut."""
    cover, left_of_anchor, above = text_cover(words, REGULAR, _CAPTION_PT, "left", round(ppi))
    top, first = max(baseline - above, 0), max(left - left_of_anchor, 0)
    here = page[top : top + cover.shape[0], first : first + cover.shape[1]]
    part = cover[: here.shape[0], : here.shape[1], None]
    here[:] = np.rint(here - part * (here.astype(np.float64) - _INK)).astype(np.uint8)
