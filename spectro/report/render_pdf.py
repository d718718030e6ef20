"""A document as a PDF for archiving: the same headings, sentences, tables and figures as its page."""

from collections.abc import Iterator

from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Document,
    Facts,
    FigureSpec,
    Folded,
    Heading,
    KeyNumbers,
    Picture,
    Points,
    Section,
    Shades,
    Shown,
    Stack,
    Table,
    Words,
)
from spectro.report.draw import drawn
from spectro.report.pdf_report import (
    PdfFigure,
    PdfHeading,
    PdfPart,
    PdfPicture,
    PdfPoint,
    PdfSection,
    PdfTable,
    PdfWords,
    pdf_report,
)
from spectro.report.render_text import said_text


def render_pdf(document: Document) -> bytes:
    """Return the document as PDF bytes, the same for the same input."""
    verdict = document.verdict
    rest = f"{verdict.rest} {verdict.advice}".strip()
    sections = tuple(_section(section) for section in document.sections if Shown.PDF in section.shown)
    return pdf_report(document.title, verdict.first, document.subject, sections, rest=rest, footer=document.footer)


def _section(section: Section) -> PdfSection:
    return PdfSection(heading=section.heading, parts=tuple(_parts(section.blocks)))


def _parts(blocks: tuple[Block, ...]) -> Iterator[PdfPart]:
    for block in blocks:
        if Shown.PDF in block.shown:
            yield from _part(block)


def _part(block: Block) -> Iterator[PdfPart]:
    match block:
        case Words():
            yield PdfWords(text=block.text, small=block.role == "conditions")
        case Heading():
            yield PdfHeading(text=block.text)
        case KeyNumbers():
            rows = tuple((one.label, one.value, one.meaning) for one in block.items)
            yield PdfTable(header=("", "", ""), rows=rows, words=(1, 2), shares=(0.24, 0.2, 0.56))
        case Facts():
            rows_of_two = tuple((name, said_text(value)) for name, value in block.rows)
            yield PdfTable(header=("", ""), rows=rows_of_two, words=(1,), shares=(0.26, 0.74))
        case Table():
            if block.rows:
                yield _table(block)
            elif block.empty:
                yield PdfWords(text=block.empty)
        case Points():
            for place, text in enumerate(block.texts, 1):
                yield PdfPoint(text=said_text(text), mark=f"{place}." if block.ordered else "–")
        case Shades():
            yield PdfWords(text="; ".join(f"{name}: {count}" for _, name, count in block.steps), small=True)
        case FigureSpec():
            yield PdfFigure(figure=drawn(block), title=block.title, caption=block.caption, width=block.width)
            if block.note:
                yield PdfWords(text=block.note, small=True)
        case Picture() if block.png:
            yield PdfPicture(png=block.png, title=block.title, caption=block.caption, width=block.width)
        case Beside() | Stack():
            yield from _parts(block.blocks)
        case Folded() | _:  # what must be opened or turned has no place on paper
            return


def _table(table: Table) -> PdfTable:
    words = tuple(place for place, column in enumerate(table.columns) if column.words and place)
    shares = tuple(column.share for column in table.columns)
    swatches = tuple(tuple(cell.swatches if isinstance(cell, Cell) else () for cell in row) for row in table.rows)
    return PdfTable(
        header=tuple(column.name for column in table.columns),
        rows=tuple(tuple(said_text(cell) for cell in row) for row in table.rows),
        note=table.note,
        words=words,
        shares=shares if all(shares) else (),
        swatches=swatches if any(any(row) for row in swatches) else (),
    )
