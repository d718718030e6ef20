"""Any report as a PDF for archiving: A4, verdict first, then sections of words, figures and tables.

The same look as the pages: neutral greys, hairlines, one column. A report is a title, a verdict and sections; whoever has
results makes those, and this file alone knows how they are set. The same input gives the same bytes.

References: [ISO-32000-1].
"""

import functools
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from spectro.colour.srgb import lab_to_srgb
from spectro.records.shown_text import true_minus
from spectro.report.error_steps import hexadecimal
from spectro.report.page_parts import CODE
from spectro.report.style import HAIR, INK, LINE, QUIET, figure_style
from spectro.standards.scripts import runs_to_the_right, written_with

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SANS, SANS_BOLD, SERIF, MONO = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif", "DejaVuSansMono"
FIGURE_DPI = 220
_IN_BRACKETS = "Words in brackets name a script that this PDF cannot draw; the report as a web page has the names in full."
_START_OF_TABLE = 60 / 25.4 * 72  # room that a long table must find under its heading
_KEPT_ROWS = 30  # tables longer than this may be broken over pages
_MM = 72 / 25.4
_MARGIN, _BOTTOM = 17 * _MM, 18 * _MM
_WIDTH, _HEIGHT = 210 * _MM, 297 * _MM
_FRAME = _WIDTH - 2 * _MARGIN


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfTable:
    """A table of texts. The first column is words, the others are set to the right unless they are words too."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""  # conditions, small, below
    words: tuple[int, ...] = ()  # further columns of words, from 0: set to the left
    shares: tuple[float, ...] = ()  # of the page's width for each column; (): the first is wider, the others alike
    swatches: tuple[tuple[tuple[tuple[float, float, float], ...], ...], ...] = ()  # Lab colours of each cell, row by row


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PdfFigure:
    """A figure with the words that say what it shows; they stand beside it for people who cannot see it."""

    figure: "Figure"
    title: str
    caption: str
    width: float = 1.0  # share of the column


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PdfPicture:
    """A picture as PNG bytes, with its words."""

    png: bytes
    title: str
    caption: str
    width: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfWords:
    """A paragraph. small: what numbers hold under."""

    text: str
    small: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfHeading:
    """A heading within a section."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PdfPoint:
    """A sentence of a list."""

    text: str
    mark: str = "–"


PdfPart: TypeAlias = PdfTable | PdfFigure | PdfPicture | PdfWords | PdfHeading | PdfPoint


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PdfSection:
    """A heading and what follows it: paragraphs, then parts in their order."""

    heading: str
    paragraphs: tuple[str, ...] = ()
    parts: tuple[PdfPart, ...] = ()
    points: tuple[str, ...] = field(default=())  # a list, after everything else


def pdf_report(
    title: str, verdict: str, subject: str, sections: Sequence[PdfSection], *, rest: str = "", footer: str = ""
) -> bytes:
    """Return a whole report as PDF bytes. title: of the document and at the foot of each page; texts are plain, not markup.

    verdict: the first sentences, large. rest: what else it says, below. subject: what the report is of. sections: in their
    order. footer: small print at the foot of every page, beside the title; "" for none.
    """
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    _register_fonts()
    buffer = io.BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=(_WIDTH, _HEIGHT),
        title=title,
        subject=f"{verdict} {rest}".rstrip(),
        author="",
        creator="",
        producer="",
        lang="en-GB",
        invariant=1,
        pageCompression=1,
    )

    def foot(canvas: Any, _: Any) -> None:
        canvas.saveState()
        canvas.setStrokeColor(HexColor(HAIR))
        canvas.setLineWidth(0.5)
        canvas.line(_MARGIN, _BOTTOM - 5 * _MM, _WIDTH - _MARGIN, _BOTTOM - 5 * _MM)
        canvas.setFont(SANS, 7)
        canvas.setFillColor(HexColor(QUIET))
        canvas.drawString(_MARGIN, _BOTTOM - 9 * _MM, _foot_words(title, footer))
        canvas.drawRightString(_WIDTH - _MARGIN, _BOTTOM - 9 * _MM, f"page {canvas.getPageNumber()}")
        canvas.restoreState()

    frame = Frame(_MARGIN, _BOTTOM, _FRAME, _HEIGHT - _BOTTOM - _MARGIN, 0, 0, 0, 0, id="column")
    document.addPageTemplates([PageTemplate(id="page", frames=[frame], onPageEnd=foot)])
    styles = _styles()
    story: list[Any] = [_words(verdict, styles["verdict"])]
    story += [_words(rest, styles["text"])] if rest else []
    story.append(_words(subject, styles["quiet"]))
    if any("[" in _drawable(text) and "[" not in text for text in (title, verdict, rest, subject)):
        story.append(_words(_IN_BRACKETS, styles["quiet"]))
    for section in sections:
        story += _section(section, styles)
    document.build(story)
    return buffer.getvalue()


def _foot_words(title: str, footer: str) -> str:
    """Return what stands at the foot of a page: the footer whole, and as much of the title as has room beside it."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    room = _FRAME - 20 * _MM  # of the page number
    title, footer = _drawable(title), _drawable(footer)
    said = f"{title} · {footer}" if footer else title
    kept = len(title)
    while kept > 0 and stringWidth(said, SANS, 7) > room:
        kept -= 1
        said = f"{title[:kept].rstrip()}… · {footer}" if footer else f"{title[:kept].rstrip()}…"
    return said


@functools.cache
@functools.cache
def _letters() -> frozenset[int]:
    """The letters that all typefaces of reports have."""
    from reportlab.pdfbase import pdfmetrics

    _register_fonts()
    return frozenset.intersection(
        *(frozenset(pdfmetrics.getFont(name).face.charToGlyph) for name in (SANS, SANS_BOLD, SERIF, MONO))
    )


def _drawable(text: str) -> str:
    """Return text with the letters that the typeface lacks in Latin ones, or their script named in brackets."""
    if text.isascii():
        return text
    return written_with(text, lambda one: one == "\n" or (ord(one) in _letters() and runs_to_the_right(one)))


def _register_fonts() -> None:
    """Make the plotting library's free typefaces known to the PDF library: they hold Δ, °, − and the like."""
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name in (SANS, SANS_BOLD, SERIF, MONO):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))


def _styles() -> dict[str, Any]:
    from reportlab.lib.colors import HexColor
    from reportlab.lib.enums import TA_RIGHT
    from reportlab.lib.styles import ParagraphStyle

    def style(name: str, font: str, size: float, lead: float, colour: str = INK, **more: Any) -> ParagraphStyle:
        return ParagraphStyle(name, fontName=font, fontSize=size, leading=lead, textColor=HexColor(colour), **more)

    return {
        "verdict": style("verdict", SERIF, 14, 19.5, spaceAfter=6),
        "heading": style("heading", SERIF, 12.5, 16, spaceBefore=9, spaceAfter=4),
        "text": style("text", SANS, 8.5, 12.2, spaceAfter=5),
        "point": style("point", SANS, 8, 11.2, spaceAfter=3, leftIndent=9, bulletIndent=0),
        "title": style("title", SANS_BOLD, 8.5, 12, spaceBefore=4),
        "quiet": style("quiet", SANS, 7.8, 10.6, QUIET, spaceAfter=4),
        "small": style("small", SANS, 6.8, 9.2, QUIET, spaceBefore=2, spaceAfter=5),
        "cell": style("cell", SANS, 7.8, 10),
        "number": style("number", SANS, 7.8, 10, alignment=TA_RIGHT),
        "head": style("head", SANS, 7.4, 9.6, QUIET),
        "head-number": style("head-number", SANS, 7.4, 9.6, QUIET, alignment=TA_RIGHT),
    }


def _words(text: str, style: Any, **more: Any) -> Any:
    from reportlab.platypus import Paragraph

    marked = CODE.sub(rf'<font face="{MONO}">\1</font>', escape(_drawable(true_minus(text)), quote=False))
    return Paragraph(marked, style, **more)


def _section(section: PdfSection, styles: dict[str, Any]) -> list[Any]:
    """Return a section; its heading stays with what comes first under it."""
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import HRFlowable

    rule = HRFlowable(width="100%", thickness=0.5, color=HexColor(HAIR), spaceBefore=7, spaceAfter=1)
    blocks = [[_words(text, styles["text"])] for text in section.paragraphs]
    blocks += [_part(part, styles) for part in section.parts]
    blocks += [_part(PdfPoint(text=text), styles) for text in section.points]
    leading = next((place for place, part in enumerate(section.parts) if not isinstance(part, PdfWords)), len(section.parts))
    with_heading = len(section.paragraphs) + leading + 1  # words under a heading take the next block with them
    first = [flowable for block in blocks[:with_heading] for flowable in block]
    heading = [_words(section.heading, styles["heading"])] if section.heading else []
    return [flowable for block in ([rule, *heading, *first], *blocks[with_heading:]) for flowable in _kept(block)]


def _part(part: PdfPart, styles: dict[str, Any]) -> list[Any]:
    match part:
        case PdfFigure():
            return [*_captioned(part, styles), _picture(part)]
        case PdfPicture():
            return [*_captioned(part, styles), _image(io.BytesIO(part.png), part.width)]
        case PdfTable():
            return _table(part, styles)
        case PdfWords():
            return [_words(part.text, styles["small" if part.small else "text"])]
        case PdfHeading():
            return [_words(part.text, styles["title"])]
        case PdfPoint():
            return [_words(part.text, styles["point"], bulletText=part.mark)]


def _captioned(part: PdfFigure | PdfPicture, styles: dict[str, Any]) -> list[Any]:
    title = [_words(part.title, styles["title"])] if part.title else []
    return [*title, *([_words(part.caption, styles["quiet"])] if part.caption else [])]


def _image(data: io.BytesIO, share: float) -> Any:
    from reportlab.lib.utils import ImageReader
    from reportlab.platypus import Image

    wide, high = ImageReader(data).getSize()
    data.seek(0)
    return Image(data, width=_FRAME * share, height=_FRAME * share * high / wide, hAlign="LEFT")


def _kept(block: list[Any]) -> list[Any]:
    """Return a block that stays on one page, or goes over several where a long table is in it."""
    from reportlab.platypus import CondPageBreak, KeepTogether, Table

    if any(isinstance(flowable, Table) and len(flowable._cellvalues) > _KEPT_ROWS for flowable in block):
        return [CondPageBreak(_START_OF_TABLE), *block]
    return [KeepTogether(block)]


def _picture(part: PdfFigure) -> Any:
    from reportlab.platypus import Image

    buffer = io.BytesIO()
    with figure_style():
        part.figure.savefig(buffer, format="png", dpi=FIGURE_DPI, metadata={"Software": None})
    buffer.seek(0)
    wide, high = part.figure.get_size_inches()
    width = min(_FRAME * part.width, wide * 72 * 0.95)
    return Image(buffer, width=width, height=width * high / wide, hAlign="LEFT")


def _table(table: PdfTable, styles: dict[str, Any]) -> list[Any]:
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Table, TableStyle

    columns = len(table.header)
    worded = [column == 0 or column in table.words for column in range(columns)]
    kinds = ["cell" if word else "number" for word in worded]
    heads = ["head" if word else "head-number" for word in worded]
    cells = [[_words(text, styles[kind]) for text, kind in zip(table.header, heads, strict=True)]] if any(table.header) else []
    cells += [[_words(text, styles[kind]) for text, kind in zip(row, kinds, strict=True)] for row in table.rows]
    for row, colours in zip(cells[-len(table.rows) :] if table.rows else [], table.swatches, strict=False):
        for place, cell in enumerate(row):
            if colours[place]:
                row[place] = [_swatches(colours[place]), cell]
    first = 0.34 if columns > 3 else 0.4
    shares = table.shares or (first, *[(1 - first) / max(columns - 1, 1)] * (columns - 1))
    widths = [_FRAME * share / max(sum(shares), 1.0) for share in shares]
    set_table = Table(cells, colWidths=widths, repeatRows=int(any(table.header)), spaceBefore=5, spaceAfter=5, hAlign="LEFT")
    apart = [("LEFTPADDING", (column, 0), (column, -1), 9) for column in table.words]
    set_table.setStyle(
        TableStyle(
            [
                ("LINEBELOW", (0, 0), (-1, 0), 0.5, HexColor(LINE)),
                ("LINEBELOW", (0, 1), (-1, -1), 0.35, HexColor(HAIR)),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 5),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                *apart,
            ]
        )
    )
    return [set_table, *([_words(table.note, styles["small"])] if table.note else [])]


def _swatches(colours: Sequence[tuple[float, float, float]]) -> Any:
    """Small boxes in the screen's colours of Lab, side by side."""
    from reportlab.graphics.shapes import Drawing, Rect
    from reportlab.lib.colors import HexColor

    side = 3.2 * _MM
    drawing = Drawing(side * len(colours), side)
    for place, lab in enumerate(colours):
        fill = HexColor(hexadecimal(lab_to_srgb(lab)))
        drawing.add(Rect(place * side, 0, side, side, fillColor=fill, strokeColor=HexColor(LINE), strokeWidth=0.3))
    return drawing
