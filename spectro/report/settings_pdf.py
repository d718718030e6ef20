"""The sheet "print with these settings" as one A4 page of PDF, to hang beside the printer.

The same sheet gives the same bytes. The type grows smaller until everything fits the page.
"""

import functools
import importlib.util
import io
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from spectro.records.shelf import SettingsSheet
from spectro.report.style import HAIR, INK, QUIET
from spectro.standards.scripts import runs_to_the_right, written_with

_POINTS_A_MM = 72 / 25.4
_WIDTH, _HEIGHT = 210 * _POINTS_A_MM, 297 * _POINTS_A_MM
_LEFT, _TOP, _BOTTOM = 22 * _POINTS_A_MM, 20 * _POINTS_A_MM, 16 * _POINTS_A_MM
_LABELS = 40 * _POINTS_A_MM  # width of the column of labels
_SIZES = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5, 5.0, 4.5)
_MOST_LETTERS = (1000, 120, 60, 30, 15)  # of a value, where even the smallest type is too large for all of them
_FOOTER_LEADING = 9.5
_REGULAR, _BOLD = "SheetSans", "SheetSansBold"


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of text at a place, points from the top left corner of the page."""

    x: float
    y: float
    text: str
    font: str
    size: float
    colour: str


def settings_pdf(sheet: SettingsSheet) -> bytes:
    """Return the page. Letters that the typeface lacks are drawn as question marks; the text form has them."""
    from reportlab.lib.colors import HexColor
    from reportlab.pdfgen.canvas import Canvas

    _register_fonts()
    for most, size in ((most, size) for most in _MOST_LETTERS for size in _SIZES):
        lines, rules, end = _lay_out(_shortened(sheet, most), size)
        if end + 2 * size <= _HEIGHT - _BOTTOM - len(sheet.footer) * _FOOTER_LEADING:
            break
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(_WIDTH, _HEIGHT), pageCompression=1, invariant=1, initialFontName=_REGULAR)
    canvas.setTitle(_drawable(f"{sheet.title}: {sheet.subject}"))
    canvas.setAuthor("")
    canvas.setSubject(_drawable(sheet.subject))
    canvas.setCreator("spectro")
    canvas.setProducer("spectro")
    canvas.setStrokeColor(HexColor(HAIR))
    canvas.setLineWidth(0.7)
    for y in rules:
        canvas.line(_LEFT, _HEIGHT - y, _WIDTH - _LEFT, _HEIGHT - y)
    for line in (*lines, *_footer(sheet)):
        canvas.setFont(line.font, line.size)
        canvas.setFillColor(HexColor(line.colour))
        canvas.drawString(line.x, _HEIGHT - line.y, line.text)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _shortened(sheet: SettingsSheet, most: int) -> SettingsSheet:
    """Return the sheet with values cut to so many letters; the text form and the shelf have them whole."""

    def short(text: str) -> str:
        return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"

    sections = tuple((heading, tuple((label, short(words)) for label, words in rows)) for heading, rows in sheet.sections)
    return replace(sheet, subject=short(sheet.subject), sections=sections)


def _lay_out(sheet: SettingsSheet, size: float) -> tuple[list[_Line], list[float], float]:
    """Return the lines of text, the rules' places and where they end, for one size of type."""
    lines: list[_Line] = []
    rules: list[float] = []
    y = _TOP + 1.9 * size
    lines.append(_Line(_LEFT, y, sheet.title, _BOLD, 2.0 * size, INK))
    for text in _wrapped(sheet.subject, _REGULAR, 1.25 * size, _WIDTH - 2 * _LEFT):
        y += 1.75 * size
        lines.append(_Line(_LEFT, y, text, _REGULAR, 1.25 * size, QUIET))
    for heading, rows in sheet.sections:
        font = _BOLD if heading == sheet.sections[0][0] else _REGULAR  # what is set anew for every print stands out
        y = _heading(heading, y, size, lines, rules)
        for label, words in rows:
            wrapped = _wrapped(words, font, size, _WIDTH - 2 * _LEFT - _LABELS)
            lines.append(_Line(_LEFT, y + 1.55 * size, _drawable(label), _REGULAR, size, QUIET))
            for text in wrapped:
                y += 1.4 * size if text is not wrapped[0] else 1.55 * size
                lines.append(_Line(_LEFT + _LABELS, y, text, font, size, INK))
    y = _heading("How to print", y, size, lines, rules)
    for number, step in enumerate(sheet.steps, 1):
        y += 0.25 * size
        lines.append(_Line(_LEFT, y + 1.4 * size, f"{number}", _BOLD, size, INK))
        for text in _wrapped(step, _REGULAR, size, _WIDTH - 2 * _LEFT - 1.6 * size):
            y += 1.4 * size
            lines.append(_Line(_LEFT + 1.6 * size, y, text, _REGULAR, size, INK))
    return lines, rules, y


def _heading(heading: str, y: float, size: float, lines: list[_Line], rules: list[float]) -> float:
    rules.append(y + 1.35 * size)
    y += 3.05 * size
    lines.append(_Line(_LEFT, y, heading, _BOLD, 1.08 * size, INK))
    return y + 0.15 * size


def _footer(sheet: SettingsSheet) -> list[_Line]:
    start = _HEIGHT - _BOTTOM - _FOOTER_LEADING * (len(sheet.footer) - 1)
    return [
        _Line(_LEFT, start + _FOOTER_LEADING * row, _drawable(text), _REGULAR, 7.0, QUIET)
        for row, text in enumerate(sheet.footer)
    ]


def _wrapped(text: str, font: str, size: float, width: float) -> list[str]:
    """Break text into lines that fit a width: at spaces, within a word only where it is wider than the line."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    lines = [""]
    for word in _drawable(text).split():
        longer = f"{lines[-1]} {word}".strip()
        if stringWidth(longer, font, size) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and stringWidth(lines[-1] + letter, font, size) > width:
                lines.append("")
            lines[-1] += letter
    return lines


@functools.cache
def _fonts() -> dict[str, Any]:
    """Return the typeface of figures, which has Greek and Cyrillic letters too, for the PDF library."""
    from reportlab.pdfbase.ttfonts import TTFont

    found = importlib.util.find_spec("matplotlib")
    folder = Path(str(found.origin if found else "")).parent / "mpl-data" / "fonts" / "ttf"
    return {
        name: TTFont(name, str(folder / file)) for name, file in ((_REGULAR, "DejaVuSans.ttf"), (_BOLD, "DejaVuSans-Bold.ttf"))
    }


def _register_fonts() -> None:
    from reportlab.pdfbase import pdfmetrics

    for font in _fonts().values():
        pdfmetrics.registerFont(font)


def _drawable(text: str) -> str:
    glyphs = _fonts()[_REGULAR].face.charToGlyph
    return written_with(text, lambda letter: ord(letter) in glyphs and runs_to_the_right(letter))
