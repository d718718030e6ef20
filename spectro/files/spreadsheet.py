"""Spreadsheets (.xlsx, ISO/IEC 29500-1), read: one sheet of readings, its names above its columns.

Only cells are looked at: numbers as they are written, texts, results of formulas that were stored. A cell whose address
does not fit its row and order is refused, and so is whatever leads out of the archive. The archive is judged before it is
unpacked: how many parts, how large, how strongly compressed. Limits are ours: a chart of 5000 patches is about 2 MB unpacked.

Reference: [ISO-IEC-29500-1] spreadsheets: workbook, relationships, shared strings, cells.

Cells are read as they come: a chart has a hundred thousand of them. Rows and addresses must be in order. A cell holds one
value: a number as written, a shared text, an inline text, or what a formula had given when the file was saved.
"""

import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.plain_table import Row, names_row, plain_table
from spectro.files.xml_nodes import MAX_ATTRIBUTES, MAX_DEPTH, MAX_ELEMENTS, XmlNode, check_limits, parse_xml, run_parser

MOST_PARTS = 1000
MOST_UNPACKED = 48 * 1024 * 1024
MOST_RATIO = 300  # unpacked to packed, of one part above a megabyte
_NO_TRUST = "This is no file to be trusted."
MOST_ROWS, MOST_COLUMNS = 60_000, 2000
DAMAGED = "Save the spreadsheet again, or export the readings as CGATS text."
_ROW_NUMBER = re.compile("[1-9][0-9]{0,6}")
_TEXT_NUMBER = re.compile("[0-9]{1,7}")
_DATA, _ROW, _CELL, _VALUE = 2, 3, 4, 5  # how deep these elements lie in a sheet


def parse_spreadsheet(data: bytes, path: Path | str, columns: Mapping[str, str] | None = None) -> CgatsTable:
    """Parse the bytes of a spreadsheet with one sheet of readings. columns: field name to the column's own name."""
    given = columns or {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _check_parts(archive.infolist(), path)
            sheets = _sheets(archive, path)
    except MeasurementFileError:
        raise
    except Exception as error:  # damaged archives end in a dozen kinds of error
        raise MeasurementFileError(
            path, 0, f"a damaged archive ({type(error).__name__})", "a spreadsheet (.xlsx)", DAMAGED
        ) from error
    found = {name: rows for name, rows in sheets.items() if rows and names_row(rows, given, path) is not None}
    if len(found) != 1:
        listed = f" ({', '.join(found)})" if found else ""
        raise MeasurementFileError(
            path, 0, f"{len(found)} sheets with names above their columns{listed}", "one",
            "Save each sheet of readings to a file of its own, or say which column is which with `columns`.",
        )  # fmt: skip
    return plain_table(next(iter(found.values())), path, given, kind="spreadsheet")


def _check_parts(parts: list[zipfile.ZipInfo], path: Path | str) -> None:
    total = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or total > MOST_UNPACKED:
        raise MeasurementFileError(
            path, 0, f"{len(parts)} parts, {total} bytes unpacked", f"at most {MOST_PARTS} and {MOST_UNPACKED}",
            "A chart's readings are far smaller: check that this is the right file.",
        )  # fmt: skip
    names = [part.filename for part in parts]
    for part in parts:
        pieces = part.filename.replace("\\", "/").split("/")
        if ".." in pieces or part.filename.startswith(("/", "\\")) or ":" in part.filename:
            raise MeasurementFileError(path, 0, f"a part named {part.filename!r}", "names within the archive", _NO_TRUST)
        if part.file_size > 1024 * 1024 and part.file_size > MOST_RATIO * max(part.compress_size, 1):
            raise MeasurementFileError(
                path, 0, f"{part.filename}, {part.file_size} bytes out of {part.compress_size}",
                f"at most {MOST_RATIO} times as much", _NO_TRUST,
            )  # fmt: skip
        if part.flag_bits & 1:
            raise MeasurementFileError(path, 0, "an encrypted archive", "an open one", "Save it without a password.")
    if "xl/workbook.xml" not in names or len(set(names)) != len(names):
        raise MeasurementFileError(path, 0, "an archive that is no spreadsheet", "a spreadsheet (.xlsx)", DAMAGED)


def _sheets(archive: zipfile.ZipFile, path: Path | str) -> dict[str, list[Row]]:
    """Return the rows of each sheet by its name."""
    book = _part(archive, "xl/workbook.xml", path)
    related = _part(archive, "xl/_rels/workbook.xml.rels", path)
    targets = {node.attributes.get("Id", ""): node for node in related.all("Relationship")}
    strings: list[str] = []
    for node in targets.values():
        if node.attributes.get("Type", "").endswith("/sharedStrings"):
            strings = [_text(item) for item in _part(archive, _inside(node, path), path).all("si")]
    found: dict[str, list[Row]] = {}
    listed = book.first("sheets")
    for sheet in listed.all("sheet") if listed else []:
        reference = next((value for key, value in sheet.attributes.items() if key.endswith("}id")), "")
        if reference not in targets or sheet.attributes.get("name", "") in found:
            raise MeasurementFileError(path, 0, f"the sheet {sheet.attributes.get('name')!r} without a part", "one", DAMAGED)
        target = targets[reference]
        if target.attributes.get("Type", "").endswith("/worksheet"):
            part = _inside(target, path)
            found[sheet.attributes.get("name", "")] = sheet_rows(_bytes(archive, part, path), f"{path} ({part})", path, strings)
    return found


def _part(archive: zipfile.ZipFile, name: str, path: Path | str) -> XmlNode:
    return parse_xml(_bytes(archive, name, path), f"{path} ({name})")


def _bytes(archive: zipfile.ZipFile, name: str, path: Path | str) -> bytes:
    if name not in archive.namelist():
        raise MeasurementFileError(path, 0, f"no part {name}", "a whole spreadsheet", DAMAGED)
    return archive.read(name)


def _inside(relation: XmlNode, path: Path | str) -> str:
    """Return the name of the part a relation leads to."""
    target = relation.attributes.get("Target", "")
    if relation.attributes.get("TargetMode", "Internal") != "Internal" or ".." in target.split("/") or ":" in target:
        raise MeasurementFileError(path, 0, f"a relation to {target!r}", "parts of the archive", _NO_TRUST)
    return posixpath.normpath(target.lstrip("/") if target.startswith("/") else posixpath.join("xl", target))


def _text(node: XmlNode) -> str:
    """Return the text of a string item: plain, or in runs."""
    parts = [part.text for part in node.all("t")] + [text.text for run in node.all("r") for text in run.all("t")]
    return " ".join("".join(parts).split())


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
        if self._kind == "b" and text:  # a truth value is no number
            return {"1": "TRUE", "0": "FALSE"}.get(text, text)
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


_LETTERS_OF = (*(_letters_of(column) for column in range(MOST_COLUMNS + 1)), "past the last column ")
_NUMBERS = {letters: column for column, letters in enumerate(_LETTERS_OF[:-1]) if column}
