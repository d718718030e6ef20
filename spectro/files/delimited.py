"""Text with cells between commas, semicolons, tabs or bars (CSV), read.

Which of them separates is told by the names and by all rows having as many cells; where two would do, the file is
refused. Quotes as in [RFC-4180]; other than there, any encoding and line end of text_lines.py is taken, and decimal
commas where a comma does not separate.
"""

import csv
import logging
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.field_names import is_numeric_field
from spectro.files.plain_table import MOST_LINES_ABOVE, Row, names_row, plain_table
from spectro.files.text_lines import text_lines

_LOG = logging.getLogger("spectro")
SEPARATORS = {";": "semicolons", "\t": "tabs", ",": "commas", "|": "bars"}
_MOST_IN_CELL = 10_000
_LINES_TO_NAMES = MOST_LINES_ABOVE + 2
_SHORT_SHARE = 0.02
"""A last number with fewer decimals than all but this share of its column, at the end of a file that stops without a line
end, is one that was cut; ours. Numbers whose last zeros are left out lose two decimals of four in one case of a hundred."""


def parse_delimited(data: bytes, path: Path | str, columns: Mapping[str, str] | None = None) -> CgatsTable:
    """Parse the bytes of a file. columns: field name to the column's own name, where it is given. path: for messages."""
    text = text_lines(data, path)
    given = columns or {}
    fitting: dict[str, list[Row]] = {}
    for separator in SEPARATORS:
        head = _rows(text.lines[:_LINES_TO_NAMES], separator, path)
        if not head or names_row(head, given, path) is None:
            continue
        rows = _rows(text.lines, separator, path)
        if rows:
            fitting[separator] = rows
    if len(fitting) > 1:
        tables = {}
        for separator, rows in fitting.items():
            try:
                tables[separator] = plain_table(rows, path, given, encoding=text.encoding)
            except MeasurementFileError:
                continue
        if len(tables) > 1:
            words = " or ".join(SEPARATORS[separator] for separator in tables)
            raise MeasurementFileError(
                path, 1, f"cells that could be separated by {words}", "one way to read the file", "Save it with tabs."
            )
        if tables:
            return _whole(next(iter(tables.values())), path, ended=text.ended)
    if not fitting:
        raise MeasurementFileError(
            path, 1, "neither a CGATS table nor names of columns that are understood",
            "CGATS text (ISO 28178), or names such as RGB_R, RGB_G, RGB_B, 380, 390 above the columns",
            "Export the readings as CGATS text, or say which column is which with `columns`, such as RGB_R=red.",
        )  # fmt: skip
    table = plain_table(next(iter(fitting.values())), path, given, encoding=text.encoding)
    return _whole(table, path, ended=text.ended)


def _whole(table: CgatsTable, path: Path | str, *, ended: bool) -> CgatsTable:
    """Return the table. Raises MeasurementFileError where the file stops inside its last number.

    Nothing in such a file says how long it is: a last line without a line end may be complete. Its last number tells, where
    it has fewer decimals than the others of its column.
    """
    if ended or len(table.rows) < 2 or not is_numeric_field(table.fields[-1]):
        return table
    *others, last = (_decimals(row[-1], "," if table.decimal_comma else ".") for row in table.rows)
    share = sum(decimals <= last for decimals in others) / len(others)
    if share < _SHORT_SHARE:
        raise MeasurementFileError(
            path, table.row_lines[-1], f"{table.rows[-1][-1]!r} at the end of the file, shorter than the numbers above it, "
            "and no line end", "a whole number and a line end",
            "The file is cut short: export it again. If it is whole, add a line end.",
        )  # fmt: skip
    if last < max(others):
        _LOG.warning(
            "%s:%d: the file stops without a line end at %r: if that is not the whole number, export it again",
            path, table.row_lines[-1], table.rows[-1][-1],
        )  # fmt: skip
    return table


def _decimals(text: str, mark: str) -> int:
    return len(text.partition(mark)[2])


def _rows(lines: tuple[str, ...], separator: str, path: Path | str) -> list[Row]:
    """Return the rows with their line numbers; [] where a line cannot be cut with this separator."""
    rows: list[Row] = []
    reader = csv.reader((line + "\n" for line in lines), delimiter=separator, strict=True)
    try:
        while True:
            before = reader.line_num
            cells = next(reader, None)
            if cells is None:
                return rows
            if reader.line_num != before + 1:
                raise MeasurementFileError(
                    path, before + 1, "a quote that is not closed on its line", "cells on one line", "Close the quote."
                )
            if any(len(cell) > _MOST_IN_CELL for cell in cells):
                return []
            if any(cell.strip() for cell in cells):
                rows.append((before + 1, tuple(cells)))
    except csv.Error:
        return []
