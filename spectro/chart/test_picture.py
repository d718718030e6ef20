"""A test picture: one page of fields, each drawn so that an eye finds one kind of fault faster than an instrument would.

It is a picture like any other, in opRGB with 16 bits, to be converted and printed the way pictures are. A row of patches to
be measured is left out or put in. References: [IEC-61966-2-5] opRGB.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.chart.drawn_scene import landscape
from spectro.chart.drawn_things import SKINS, dark_cloth, flowers, skins, white_cloth
from spectro.chart.drawn_tones import (
    NEAR_BLACK,
    NEAR_WHITE,
    WEDGE,
    draw_words,
    fine_detail,
    grey_ramp,
    grey_wedge,
    highlight_steps,
    hue_disc,
    hue_ramps,
    shadow_steps,
    tinted_discs,
)
from spectro.chart.fonts import BOLD, REGULAR, text_width_mm
from spectro.chart.raster import pixel_span
from spectro.colour.page_numbers import lab_to_oprgb, oprgb_to_lab
from spectro.records.arrays import AnyArray, FloatArray
from spectro.records.image import PictureField

WIDTH_MM, HEIGHT_MM, WITH_PATCHES_MM = 260.0, 172.0, 196.0
LEAST_PPI, MOST_PPI = 100, 720
_MM_AN_INCH, _FULL = 25.4, 65535
_LABEL_PT, _SMALL_PT, _TITLE_PT = 6.5, 4.5, 11.0
_PATCH_ROWS, _PATCH_COLUMNS, _PATCH_TOP, _PATCH_HIGH = 2, 24, 175.5, 9.0

FIELDS = (
    PictureField("landscape", 1, "sky and leaves", 0, 13, 128, 60),
    PictureField("skins", 2, "skin", 132, 13, 62, 60),
    PictureField("flowers", 3, "full colours", 198, 13, 62, 60),
    PictureField("dark-cloth", 4, "dark cloth", 0, 79, 51, 31),
    PictureField("white-cloth", 5, "white cloth", 55, 79, 51, 31),
    PictureField("near-black", 6, "steps near black", 110, 79, 51, 28),
    PictureField("near-white", 7, "steps near white", 165, 79, 51, 28),
    PictureField("tints", 8, "tints of grey", 220, 79, 40, 31),
    PictureField("hue-ramps", 9, "white to colour to black", 0, 116, 102, 28),
    PictureField("hue-disc", 10, "all hues", 106, 116, 28, 28),
    PictureField("detail", 11, "fine detail", 138, 116, 122, 28),
    PictureField("ramp", 12, "grey, in one run and in steps", 0, 150, 260, 8),
    PictureField("wedge", 0, "", 0, 158, 260, 8),
)
"""What lies where, mm from the left and top; a number of 0 belongs to the field before."""

_LAB: dict[str, Callable[[int, int], FloatArray]] = {
    "landscape": landscape,
    "skins": skins,
    "flowers": flowers,
    "dark-cloth": dark_cloth,
    "white-cloth": white_cloth,
}
_NUMBERS: dict[str, Callable[[int, int], FloatArray]] = {
    "near-black": shadow_steps,
    "near-white": highlight_steps,
    "tints": tinted_discs,
    "hue-ramps": hue_ramps,
    "hue-disc": hue_disc,
    "ramp": grey_ramp,
    "wedge": grey_wedge,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PicturePatches:
    """Patches of a test picture: names, numbers of opRGB as the file holds them, and the colours they mean."""

    names: tuple[str, ...]
    numbers: FloatArray  # (n, 3), 0 to 1
    lab: FloatArray  # (n, 3), D50, relative to the paper


def draw_picture(ppi: int, *, patches: bool, progress: Callable[[str, float], None] = lambda what, done: None) -> AnyArray:
    """Return the page (rows, columns, 3), uint16, numbers of opRGB. ppi: pixels an inch, LEAST_PPI to MOST_PPI."""
    scale = ppi / _MM_AN_INCH
    page = np.full((round((WITH_PATCHES_MM if patches else HEIGHT_MM) * scale), round(WIDTH_MM * scale), 3), _FULL, np.uint16)
    for number, field in enumerate(FIELDS):
        progress(f"drawing {field.name}" if field.name else "drawing", number / len(FIELDS))
        top, bottom = pixel_span(field.top, field.high, scale)
        left, right = pixel_span(field.left, field.wide, scale)
        page[top:bottom, left:right] = _packed(_drawn(field.key, bottom - top, min(right, page.shape[1]) - left, ppi))
        if field.number:
            _label(page, field, ppi)
    _head(page, ppi)
    _step_numbers(page, ppi)
    if patches:
        _paint_patches(page, ppi)
    return page


def picture_patches() -> PicturePatches:
    """Return the patches: paper, greys, black, full colours, skin, and 24 colours that ordinary papers can print."""
    greys = [(lightness, 0.0, 0.0) for lightness in (92, 84, 76, 68, 60, 52, 44, 36, 30, 24)]
    hues = np.arange(12) * 30.0
    light = [(70.0, 26 * np.cos(np.radians(hue)), 26 * np.sin(np.radians(hue))) for hue in hues]
    deep = [(45.0, 30 * np.cos(np.radians(hue + 15)), 30 * np.sin(np.radians(hue + 15))) for hue in hues]
    full = np.array([(1, 0, 0), (1, 1, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1), (1, 0, 1)], dtype=np.float64)
    numbers = np.concatenate([
        np.ones((1, 3)), lab_to_oprgb(greys), np.zeros((1, 3)), full, lab_to_oprgb(SKINS), lab_to_oprgb(light + deep)
    ])  # fmt: skip
    held = np.rint(np.clip(numbers, 0, 1) * _FULL) / _FULL
    names = tuple(f"{'AB'[row]}{column + 1}" for row in range(_PATCH_ROWS) for column in range(_PATCH_COLUMNS))
    return PicturePatches(names=names, numbers=held, lab=oprgb_to_lab(held))


def _drawn(key: str, height: int, width: int, ppi: int) -> FloatArray:
    if key in _LAB:
        return lab_to_oprgb(_LAB[key](height, width))
    if key == "detail":
        return fine_detail(height, width, ppi)
    return _NUMBERS[key](height, width)


def _packed(numbers: FloatArray) -> AnyArray:
    return np.rint(np.clip(numbers, 0, 1) * _FULL).astype(np.uint16)


def _write(page: AnyArray, words: str, place: tuple[float, float], face: tuple[str, float, int], align: str = "left") -> None:
    """Set words into the page; place: mm across and down to the baseline."""
    scale = face[2] / _MM_AN_INCH
    row = round(place[1] * scale)
    reach = round(face[1] * face[2] / 72) + 2
    top = max(0, row - reach)
    band = page[top : row + reach] / _FULL
    draw_words(band, words, (round(place[0] * scale), row - top), face, shade=0.25, align=align)
    page[top : row + reach] = _packed(band)


def _label(page: AnyArray, field: PictureField, ppi: int) -> None:
    _write(page, str(field.number), (field.left, field.top - 1.4), (BOLD, _LABEL_PT, ppi))
    shift = 2.6 if field.number < 10 else 4.1
    _write(page, field.name, (field.left + shift, field.top - 1.4), (REGULAR, _LABEL_PT, ppi))


def _head(page: AnyArray, ppi: int) -> None:
    """Write the title, and lines to write on what the page was printed with."""
    _write(page, "Test picture", (0, 5.2), (BOLD, _TITLE_PT, ppi))
    scale = ppi / _MM_AN_INCH
    left = 48.0
    for word, wide in (("printer", 42.0), ("paper", 42.0), ("profile and intent", 42.0), ("date", 22.0)):
        _write(page, word, (left, 5.2), (REGULAR, _LABEL_PT, ppi))
        left += text_width_mm(word, REGULAR, _LABEL_PT) + 1.2
        row = round(5.6 * scale)
        page[row : row + max(1, round(0.15 * scale)), round(left * scale) : round((left + wide) * scale)] = round(0.45 * _FULL)
        left += wide + 3.0


def _step_numbers(page: AnyArray, ppi: int) -> None:
    """Write the numbers of steps below them."""
    for key, steps in (("near-black", NEAR_BLACK), ("near-white", NEAR_WHITE)):
        field = next(one for one in FIELDS if one.key == key)
        columns = len(steps) // 2
        for column in range(columns):
            middle = field.left + (column + 0.5) * field.wide / columns
            for row in (0, 1):
                baseline = field.top + field.high + 1.9 + 1.9 * row
                _write(page, str(steps[row * columns + column]), (middle, baseline), (REGULAR, _SMALL_PT, ppi), "centre")
    wedge = FIELDS[-1]
    for step in range(WEDGE):
        middle = wedge.left + (step + 0.5) * wedge.wide / WEDGE
        value = str(round(255 * step / (WEDGE - 1)))
        _write(page, value, (middle, wedge.top + wedge.high + 2.4), (REGULAR, _SMALL_PT + 0.5, ppi), "centre")


def _paint_patches(page: AnyArray, ppi: int) -> None:
    patches, scale = picture_patches(), ppi / _MM_AN_INCH
    wide = WIDTH_MM / _PATCH_COLUMNS
    for number, values in enumerate(patches.numbers):
        row, column = divmod(number, _PATCH_COLUMNS)
        top, bottom = pixel_span(_PATCH_TOP + row * _PATCH_HIGH, _PATCH_HIGH, scale)
        left, right = pixel_span(column * wide, wide, scale)
        page[top:bottom, left:right] = _packed(values)
    for column in range(_PATCH_COLUMNS):
        middle = (column + 0.5) * wide
        _write(page, str(column + 1), (middle, _PATCH_TOP - 0.8), (REGULAR, _SMALL_PT + 0.5, ppi), "centre")
    below = _PATCH_TOP + _PATCH_ROWS * _PATCH_HIGH + 2.2
    words = "Patches to be measured: row A above, row B below, 1 to 24 from the left."
    _write(page, words, (0, below), (REGULAR, _SMALL_PT + 0.5, ppi))
