"""The typeface of chart pages, the same in PDF and TIFF: a free one that the PDF library brings along."""

import functools
from pathlib import Path
from typing import Any

from spectro.standards.scripts import written_with

REGULAR = "Vera"
BOLD = "VeraBd"

_MM_A_POINT = 25.4 / 72


@functools.cache
def font_file(font: str) -> Path:
    """Return the TrueType file of REGULAR or BOLD."""
    import reportlab

    return Path(str(reportlab.__file__)).parent / "fonts" / f"{font}.ttf"


@functools.cache
def register_fonts() -> None:
    """Make both fonts known to the PDF library, which embeds what a page uses of them."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for font in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(font, str(font_file(font))))


def text_width_mm(text: str, font: str, size_pt: float) -> float:
    """Return the width of a line of text, mm."""
    from reportlab.pdfbase import pdfmetrics

    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size_pt)) * _MM_A_POINT


def drawable(text: str) -> str:
    """Return text in letters that the typeface of pages has: other scripts in Latin letters, or named in brackets.

    >>> drawable("Büro Бумага 写真")
    'Büro Bumaga [CJK]'
    """
    return written_with(text, lambda letter: letter.isprintable() and ord(letter) < 256)


def cut_to(text: str, font: str, size_pt: float, width_mm: float) -> str:
    """Return as much of a line as fits a width, with dots where some is left out."""
    while len(text) > 4 and text_width_mm(text, font, size_pt) > width_mm:
        text = text.removesuffix("...")[:-1].rstrip() + "..."
    return text


def wrapped(text: str, font: str, size_pt: float, width_mm: float) -> tuple[str, ...]:
    """Break text into lines that fit a width, at spaces; a word wider than that stays whole."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, font, size_pt) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


@functools.cache
def raster_font(font: str, size_px: float) -> Any:
    """Return the font for drawing into pictures, without the optional text shaper, so that all machines draw alike."""
    from PIL import ImageFont

    return ImageFont.truetype(str(font_file(font)), size_px, layout_engine=ImageFont.Layout.BASIC)
