"""Text with cells between commas, semicolons, tabs or bars (CSV), read.

Which of them separates is told by the names and by all rows having as many cells; where two would do, the file is
refused. Quotes as in [RFC-4180]; other than there, any encoding and line end of text_lines.py is taken, and decimal
commas where a comma does not separate.
"""

import csv
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.plain_table import Row, names_row, plain_table
from spectro.files.text_lines import text_lines

SEPARATORS = {";": "semicolons", "\t": "tabs", ",": "commas", "|": "bars"}
_MOST_IN_CELL = 10_000


def parse_delimited(data: bytes, path: Path | str, columns: Mapping[str, str] | None = None) -> CgatsTable:
    """Parse the bytes of a file. columns: field name to the column's own name, where it is given. path: for messages."""
    text = text_lines(data, path)
    given = columns or {}
    fitting: dict[str, list[Row]] = {}
    for separator in SEPARATORS:
        rows = _rows(text.lines, separator, path)
        if rows and names_row(rows, given, path) is not None:
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
            return next(iter(tables.values()))
    if not fitting:
        raise MeasurementFileError(
            path, 1, "neither a CGATS table nor names of columns that are understood",
            "CGATS text (ISO 28178), or names such as RGB_R, RGB_G, RGB_B, 380, 390 above the columns",
            "Export the readings as CGATS text, or say which column is which with `columns`, such as RGB_R=red.",
        )  # fmt: skip
    return plain_table(next(iter(fitting.values())), path, given, encoding=text.encoding)


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
