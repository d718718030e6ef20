"""Lines of a data block to rows of cells: tabs or blanks between cells, quoted cells, empty cells at the end.

Either every tab ends a cell, or runs of tabs do, and of blanks in lines without tabs. One way is chosen for the whole
block; the second only where no line fits the first: a missing value must not be healed by an empty cell elsewhere or by
a blank inside a name.
"""

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from spectro.errors import MeasurementFileError

_TAB_CELL = re.compile(r'[^\S\t]*(?:"((?:[^"]|"")*)"[^\S\t]*|([^\t]*))(\t|$)')
_BLANK_CELL = re.compile(r'\s*(?:"((?:[^"]|"")*)"(?=\s|$)|(\S+))')
Cutter = Callable[[str, int], list[str]]


def cut_rows(lines: Sequence[tuple[int, str]], width: int, path: Path | str) -> tuple[tuple[str, ...], ...]:
    """Cut numbered lines into rows of width cells.

    lines: line number from 1 and text, none of them blank.
    Raises MeasurementFileError at the first line that does not fit where no way of cutting fits all lines.
    """
    exact, rows = _cut_all(lines, width, _cut_at_tabs)
    if not exact:
        return rows
    loose, rows = _cut_all(lines, width, _cut_at_runs)
    if not loose and len(exact) == len(lines):
        return rows
    number, count = exact[0] if len(exact) <= len(loose) or not loose else loose[0]
    raise MeasurementFileError(
        path,
        number,
        f"{count} values",
        f"{width}, one a field of BEGIN_DATA_FORMAT",
        "Complete the row, or measure it again, or delete it and correct NUMBER_OF_SETS.",
    )


def _cut_all(
    lines: Sequence[tuple[int, str]], width: int, cut: Cutter
) -> tuple[list[tuple[int, int]], tuple[tuple[str, ...], ...]]:
    """Return line and cell count of the lines that do not fit, and the rows of those that do."""
    rows: list[tuple[str, ...]] = []
    misfits: list[tuple[int, int]] = []
    for number, text in lines:
        cells = cut(text, width)
        if len(cells) == width:
            rows.append(tuple(cells))
        else:
            misfits.append((number, len(cells)))
    return misfits, tuple(rows)


def quoted_open(text: str) -> bool:
    """Tell whether a line begins a quoted cell that no quote ends.

    >>> quoted_open('1\\t"A 1\\t0.5'), quoted_open('1\\t"A 1"\\t0.5'), quoted_open('1\\t5"\\t0.5')
    (True, False, False)
    """
    if text.count('"') % 2 == 0:
        return False
    cells = _cut_at_tabs(text, 0, raw=True) if "\t" in text else _words(text, raw=True)
    return any(cell.startswith('"') for cell in cells)


def words(text: str) -> list[str]:
    """Cut a line at blanks and tabs; quotes keep blanks together and are taken away."""
    return _words(text) if '"' in text else text.split()


def _words(text: str, raw: bool = False) -> list[str]:
    found = []
    for quoted, plain in _BLANK_CELL.findall(text):
        if plain:
            found.append(plain)
        elif not raw:
            found.append(quoted.replace('""', '"'))
    return found


def _cut_at_tabs(text: str, width: int, raw: bool = False) -> list[str]:
    cells = [cell.strip() for cell in text.split("\t")]
    if '"' in text:
        plain = [cell[1:-1] if cell[:1] == cell[-1:] == '"' and len(cell) > 1 else cell for cell in cells]
        simple = not raw and not any('"' in cell for cell in plain)  # every quoted cell lies between two tabs: the fast way
        cells = plain if simple else _quoted_cells(text, raw)
    while len(cells) > width and not cells[-1]:
        cells.pop()
    return cells


def _quoted_cells(text: str, raw: bool) -> list[str]:
    """Cut at tabs, where quotes may hold tabs and doubled quotes; raw: leave the quoted cells out."""
    cells: list[str] = []
    at = 0
    while True:
        match = _TAB_CELL.match(text, at)
        if match is None:  # cannot happen: the plain branch matches anything up to a tab
            return cells
        quoted, plain, end = match.groups()
        if quoted is None:
            cells.append(plain.strip())
        elif not raw:
            cells.append(quoted.replace('""', '"'))
        at = match.end()
        if not end:
            return cells


def _cut_at_runs(text: str, width: int) -> list[str]:
    return [cell for cell in _cut_at_tabs(text, 0) if cell] if "\t" in text else words(text)
