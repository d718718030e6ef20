"""The cells of one sheet of a spreadsheet, read as they come: a chart has a hundred thousand of them.

Rows and addresses must be in order. A cell holds one value: a number as written, a shared text, an inline text, or what a
formula had given when the file was saved. Reference: [ISO-IEC-29500-1] worksheets: rows, cells, cell values.
"""

import re
from pathlib import Path
from typing import Any

from spectro.errors import MeasurementFileError
from spectro.files.plain_table import Row
from spectro.files.xml_nodes import MAX_ATTRIBUTES, MAX_DEPTH, MAX_ELEMENTS, check_limits, run_parser

MOST_ROWS, MOST_COLUMNS = 60_000, 2000
DAMAGED = "Save the spreadsheet again, or export the readings as CGATS text."
_ROW_NUMBER = re.compile("[1-9][0-9]{0,6}")
_TEXT_NUMBER = re.compile("[0-9]{1,7}")
_DATA, _ROW, _CELL, _VALUE = 2, 3, 4, 5  # how deep these elements lie in a sheet


def sheet_rows(data: bytes, part: str, path: Path | str, strings: list[str]) -> list[Row]:
    """Return the rows of a sheet that are not empty, all of one width.

    data: the part's bytes. part, path: for messages of XML and of rows. strings: the shared texts.
    """
    cells = _SheetCells(strings, path)
    run_parser(data, part, cells)
    width = max((max(found) for _, found in cells.rows), default=0)
    columns = range(1, width + 1)
    return [(number, tuple([found.get(column, "") for column in columns])) for number, found in cells.rows]


class _SheetCells:
    """Takes the elements of a sheet as they come."""

    def __init__(self, strings: list[str], path: Path | str) -> None:
        self.parser: Any = None
        self.rows: list[tuple[int, dict[int, str]]] = []
        self._strings, self._path = strings, path
        self._count = self._depth = 0
        self._tags: tuple[str, ...] = ()  # of the sheet's namespace: sheetData, row, c, v, is, t, r
        self._open = 0  # the depth down to which the way leads to cells: sheetData, row, c
        self._all_data = False  # one sheetData was read; another is not looked at
        self._row, self._row_text, self._last = 0, "", 0
        self._found: dict[int, str] = {}
        self._column, self._addressed = 0, True
        self._kind, self._values = "n", 0
        self._text: list[str] | None = None  # of the value that is open, None where text is not wanted
        self._plain: list[str] = []  # of the first value of the cell
        self._parts: list[str] = []  # of an inline text: what stands in it directly, then what stands in runs
        self._runs: list[str] = []
        self._inside = ""  # the value that is open: v or is
        self._inline = self._run = False

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        depth = self._depth = self._depth + 1
        if depth == _VALUE and self._open == _CELL:
            if tag == self._tags[3]:  # by far the commonest, and the next the second
                self._values += 1
                self._inside, self._text = "v", self._plain
            else:
                self._start_value(tag)
        elif depth == _CELL and self._open == _ROW and tag == self._tags[2]:
            self._start_cell(attributes)
        elif depth > _VALUE and self._open == _CELL:
            self._start_within(tag, depth)
        elif depth == _ROW and self._open == _DATA and tag == self._tags[1]:
            self._start_row(attributes)
        elif depth == 1:
            namespace, separator, _ = tag.rpartition("}")
            self._tags = tuple(f"{namespace}{separator}{name}" for name in ("sheetData", "row", "c", "v", "is", "t", "r"))
        elif depth == _DATA and tag == self._tags[0] and not self._all_data:
            self._open, self._all_data = _DATA, True
        self._count += 1
        if self._count > MAX_ELEMENTS or depth > MAX_DEPTH or len(attributes) > MAX_ATTRIBUTES:
            check_limits(self._count, depth, attributes)

    def data(self, text: str) -> None:
        if self._text is not None:
            self._text.append(text)

    def end(self, tag: str) -> None:
        depth = self._depth
        self._depth = depth - 1
        if depth > self._open:
            self._text = None
            if depth == _VALUE:
                self._inside = ""
        elif depth == _CELL:
            self._found[self._column] = self._cell_text()
            self._open = _ROW
        elif depth == _ROW:
            if any(self._found.values()):
                self.rows.append((self._row, self._found))
            self._open = _DATA
        else:
            self._open = 0

    def _start_row(self, attributes: dict[str, str]) -> None:
        number = attributes.get("r", str(self._row + 1))
        if not _ROW_NUMBER.fullmatch(number) or int(number) <= self._row or int(number) > MOST_ROWS:
            raise MeasurementFileError(
                self._path, self._row, f"row {number} after row {self._row}", f"rows in order, at most {MOST_ROWS}", DAMAGED
            )
        self._row, self._row_text, self._found, self._column, self._open = int(number), number, {}, 0, _ROW

    def _start_cell(self, attributes: dict[str, str]) -> None:
        address = attributes.get("r")
        if not self._column:
            self._addressed = address is not None
        following = _LETTERS_OF[self._column + 1] + self._row_text if self._addressed else None
        if address == following and self._column < MOST_COLUMNS:
            self._column += 1
        else:
            self._column = self._column_of(address or "" if self._addressed else "")
        self._open = _CELL
        self._kind, self._values, self._inline, self._plain = attributes.get("t", "n"), 0, False, []

    def _column_of(self, address: str) -> int:
        """Return the column, from 1, of an address, which must fit the row and lie behind the last column."""
        row = self._row_text
        column = _NUMBERS.get(address[: -len(row)], 0) if address.endswith(row) else 0
        if column <= self._column or column > MOST_COLUMNS:
            raise MeasurementFileError(
                self._path,
                self._row,
                f"a cell with the address {address!r} in row {self._row}",
                f"addresses in order, up to {MOST_COLUMNS} columns",
                DAMAGED,
            )
        return column

    def _start_value(self, tag: str) -> None:
        """An element within a cell: its value, an inline text, or something that is not looked at."""
        self._text = None
        if tag == self._tags[3]:
            self._values += 1
            self._inside, self._text = "v", self._plain
        elif tag == self._tags[4]:
            self._values += 1
            self._inside, self._inline, self._parts, self._runs = "is", True, [], []
        else:
            self._inside = ""

    def _start_within(self, tag: str, depth: int) -> None:
        """An element within a value: its text ends there; within an inline text, a piece or a run of it may begin."""
        self._text = None
        if self._inside == "is":
            if depth == _VALUE + 1:
                self._run = tag == self._tags[6]
            if tag == self._tags[5] and (depth == _VALUE + 1 or (depth == _VALUE + 2 and self._run)):
                self._text = self._parts if depth == _VALUE + 1 else self._runs

    def _cell_text(self) -> str:
        if self._values > 1:
            raise MeasurementFileError(self._path, self._row, "a cell with two values", "one", DAMAGED)
        if self._kind == "inlineStr":
            return " ".join("".join(self._parts + self._runs).split()) if self._inline else ""
        text = " ".join(("".join(self._plain) if len(self._plain) != 1 else self._plain[0]).split())
        if self._kind != "s" or not text:
            return text
        if not _TEXT_NUMBER.fullmatch(text) or int(text) >= len(self._strings):
            raise MeasurementFileError(
                self._path, self._row, f"the shared text number {text}", f"one of {len(self._strings)}", DAMAGED
            )
        return self._strings[int(text)]


def _letters_of(column: int) -> str:
    """Return the letters of a column, from 1; "" of 0.

    >>> [_letters_of(column) for column in (1, 26, 27, 702, 703)]
    ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    while column:
        column, digit = divmod(column - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return letters


_LETTERS_OF = (*(_letters_of(column) for column in range(MOST_COLUMNS + 1)), "beyond the last column ")
_NUMBERS = {letters: column for column, letters in enumerate(_LETTERS_OF[:-1]) if column}
