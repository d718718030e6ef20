"""A document as text for the terminal: verdict first, then what is shown there."""

import unicodedata
from collections.abc import Iterator, Sequence

from spectro.records.document import (
    Beside,
    Cell,
    Document,
    Facts,
    Folded,
    Heading,
    KeyNumbers,
    Points,
    Said,
    Section,
    Shown,
    Stack,
    Table,
    Words,
)
from spectro.records.shown_text import true_minus

_INDENT = "  "


def render_text(document: Document) -> str:
    """Return the document's verdict, advice and the sections that the terminal shows, without a line end after the last."""
    verdict = document.verdict
    lines = [part for part in (verdict.first, verdict.rest, verdict.advice) if part]
    for section in document.sections:
        if Shown.TEXT in section.shown:
            lines += ["", *_section(section)]
    return true_minus("\n".join(lines))


def _section(section: Section) -> Iterator[str]:
    if section.heading:
        yield section.heading
    for block in section.blocks:
        if Shown.TEXT in block.shown:
            yield from _block(block)


def _block(block: object) -> Iterator[str]:
    match block:
        case Words():
            yield from block.text.split("\n")
        case Heading():
            yield from ("", block.text)
        case Facts():
            yield from _facts(block)
        case KeyNumbers():
            yield from _facts(Facts(rows=tuple((one.label, f"{one.value} {one.meaning}") for one in block.items)))
        case Table():
            yield from _table(block)
        case Points():
            for place, text in enumerate(block.texts, 1):
                yield f"{_INDENT}{f'{place}. ' if block.ordered else ''}{said_text(text)}"
        case Beside() | Stack() | Folded():
            for inner in block.blocks:
                if Shown.TEXT in inner.shown:
                    yield from _block(inner)
        case _:  # figures, pictures and their legends are not for a terminal
            return


def _facts(block: Facts) -> Iterator[str]:
    width = block.width or max((_columns(name) for name, _ in block.rows), default=0) + 2
    for name, value in block.rows:
        first, *more = said_text(value).split("\n")
        yield f"{_INDENT}{_padded(name, width)}{first}".rstrip()
        for line in more:
            yield f"{_INDENT}{' ' * width}{line}"


def _table(table: Table) -> Iterator[str]:
    if not table.rows:
        if table.empty:
            yield _INDENT + table.empty
        return
    cells = [[column.name for column in table.columns], *[[said_text(cell) for cell in row] for row in table.rows]]
    widths = [
        column.width or max(_columns(row[place]) for row in cells) + (2 if place else 0)
        for place, column in enumerate(table.columns)
    ]
    worded = [column.words or place == 0 for place, column in enumerate(table.columns)]
    for row in cells[0 if any(cells[0]) else 1 :]:
        yield (_INDENT + "".join(_set(row, widths, worded))).rstrip()
    if table.note:
        yield _INDENT + table.note


def _set(row: Sequence[str], widths: Sequence[int], worded: Sequence[bool]) -> Iterator[str]:
    """Cells set to the right, or to the left after two spaces; one that is too long pushes the others on."""
    for place, (cell, width, words) in enumerate(zip(row, widths, worded, strict=True)):
        if not words:
            yield " " * (width - _columns(cell)) + cell
        elif place == 0:
            yield _padded(cell, width)
        else:
            yield _padded(f"  {cell}", width)


def said_text(said: Said) -> str:
    """Return a cell's words without its colours."""
    if isinstance(said, Cell):
        return " ".join(part for part in (said.lead, said.text, said.quiet) if part)
    return said


def _columns(text: str) -> int:
    """How many columns of a terminal a text takes: wide characters two, marks that stand over others none."""
    return sum(0 if unicodedata.combining(one) else 2 if unicodedata.east_asian_width(one) in "WF" else 1 for one in text)


def _padded(text: str, width: int) -> str:
    return text + " " * (width - _columns(text))
