"""Spreadsheets (.xlsx, ISO/IEC 29500-1), read: one sheet of readings, its names above its columns.

Only cells are looked at: numbers as they are written, texts, results of formulas that were stored. A cell whose address
does not fit its row and order is refused, and so is whatever leads out of the archive. The archive is judged before it is
unpacked: how many parts, how large, how strongly compressed. Limits are ours: a chart of 5000 patches is about 2 MB unpacked.

Reference: [ISO-IEC-29500-1] spreadsheets: workbook, relationships, shared strings, cells.
"""

import functools
import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.plain_table import Row, names_row, plain_table
from spectro.files.xml_nodes import XmlNode, parse_xml

MOST_PARTS = 1000
MOST_UNPACKED = 48 * 1024 * 1024
MOST_RATIO = 300  # unpacked to packed, of one part above a megabyte
MOST_ROWS, MOST_COLUMNS = 60_000, 2000
_DAMAGED = "Save the spreadsheet again, or export the readings as CGATS text."
_NO_TRUST = "This is no file to be trusted."
_ADDRESS = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")


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
            path, 0, f"a damaged archive ({type(error).__name__})", "a spreadsheet (.xlsx)", _DAMAGED
        ) from error
    found = {name: rows for name, rows in sheets.items() if rows and names_row(rows, given, path) is not None}
    if len(found) != 1:
        listed = f" ({', '.join(found)})" if found else ""
        raise MeasurementFileError(
            path, 0, f"{len(found)} sheets with names above their columns{listed}", "one",
            "Save each sheet of readings to a file of its own, or say which column is which with --columns.",
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
        raise MeasurementFileError(path, 0, "an archive that is no spreadsheet", "a spreadsheet (.xlsx)", _DAMAGED)


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
            raise MeasurementFileError(path, 0, f"the sheet {sheet.attributes.get('name')!r} without a part", "one", _DAMAGED)
        target = targets[reference]
        if target.attributes.get("Type", "").endswith("/worksheet"):
            root = _part(archive, _inside(target, path), path)
            found[sheet.attributes.get("name", "")] = _rows(root, strings, path)
    return found


def _part(archive: zipfile.ZipFile, name: str, path: Path | str) -> XmlNode:
    if name not in archive.namelist():
        raise MeasurementFileError(path, 0, f"no part {name}", "a whole spreadsheet", _DAMAGED)
    return parse_xml(archive.read(name), f"{path} ({name})")


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


def _rows(root: XmlNode, strings: list[str], path: Path | str) -> list[Row]:
    """Return the rows of a sheet that are not empty, all of one width."""
    cells: list[tuple[int, dict[int, str]]] = []
    last = 0
    data = root.first("sheetData")
    for row in data.all("row") if data else []:
        number = row.attributes.get("r", str(last + 1))
        if not re.fullmatch("[1-9][0-9]{0,6}", number) or int(number) <= last or int(number) > MOST_ROWS:
            raise MeasurementFileError(
                path, last, f"row {number} after row {last}", f"rows in order, at most {MOST_ROWS}", _DAMAGED
            )
        last = int(number)
        found: dict[int, str] = {}
        row_cells = row.all("c")
        without = row_cells and not any("r" in cell.attributes for cell in row_cells)
        column = 0
        for cell in row_cells:
            column = column + 1 if without else _column(cell, last, column, path)
            found[column] = _cell_text(cell, strings, last, path)
        if any(found.values()):
            cells.append((last, found))
    width = max((max(found) for _, found in cells), default=0)
    return [(number, tuple(found.get(column, "") for column in range(1, width + 1))) for number, found in cells]


def _column(cell: XmlNode, row: int, last: int, path: Path | str) -> int:
    """Return the column of a cell, from 1, by its address, which must fit the row and lie behind the last column."""
    address = cell.attributes.get("r", "")
    match = _ADDRESS.fullmatch(address)
    column = _number_of(match.group(1)) if match else 0
    if match is None or int(match.group(2)) != row or column <= last or column > MOST_COLUMNS:
        raise MeasurementFileError(
            path,
            row,
            f"a cell with the address {address!r} in row {row}",
            f"addresses in order, up to {MOST_COLUMNS} columns",
            _DAMAGED,
        )
    return column


@functools.cache
def _number_of(letters: str) -> int:
    """Return the number of a column, from 1, by its letters; there are 18 278 of them."""
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column


def _cell_text(cell: XmlNode, strings: list[str], row: int, path: Path | str) -> str:
    values, kind = cell.all("v"), cell.attributes.get("t", "n")
    inline = cell.all("is")
    if len(values) + len(inline) > 1:
        raise MeasurementFileError(path, row, "a cell with two values", "one", _DAMAGED)
    if kind == "inlineStr":
        return _text(inline[0]) if inline else ""
    text = values[0].text.strip() if values else ""
    if kind != "s" or not text:
        return " ".join(text.split())
    if not re.fullmatch("[0-9]{1,7}", text) or int(text) >= len(strings):
        raise MeasurementFileError(path, row, f"the shared text number {text}", f"one of {len(strings)}", _DAMAGED)
    return strings[int(text)]
