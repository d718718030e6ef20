"""Rows of cells with names above them (CSV, spreadsheets) to the table form of CGATS.

The row of names is the first in which at least three names are device or spectral values, or Lab or XYZ; what stands
above it is kept as header lines. Below it every row has one cell a name; rows of empty cells are passed over.
"""

import itertools
import logging
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsKeyword, CgatsTable, folded_name
from spectro.files.column_mapping import FIX, guessed_names, mapping_sentence
from spectro.files.field_names import PAIR_NAMES, is_numeric_field
from spectro.files.numeric_cells import numeric_columns, uses_decimal_comma

_LOG = logging.getLogger("spectro")
MOST_LINES_ABOVE = 60
LEAST_NAMES = 3
Row = tuple[int, tuple[str, ...]]  # number of the line or row in the file, cells


def names_row(rows: Sequence[Row], given: Mapping[str, str], path: Path | str) -> int | None:
    """Return the index of the row of names, None where there is none."""
    wanted = {name.strip() for name in given.values()}
    for index, (line, cells) in enumerate(rows[: MOST_LINES_ABOVE + 1]):
        if wanted and wanted <= {cell.strip() for cell in cells}:
            return index
        if not wanted and len(cells) >= LEAST_NAMES:
            fields = guessed_names(cells, {}, path, line)
            if sum(map(is_numeric_field, fields)) >= LEAST_NAMES and not _is_data(cells):
                return index
    return None


def _is_data(cells: Sequence[str]) -> bool:
    """Tell whether a row holds numbers that happen to look like wavelengths: more than that, and not in even steps."""
    numbers = [cell for cell in cells if cell.strip().replace(".", "", 1).isdecimal()]
    if len(numbers) < max(LEAST_NAMES, len(cells) // 2):
        return False
    values = [float(cell) for cell in numbers]
    return any(later <= earlier for earlier, later in itertools.pairwise(values))


def plain_table(
    rows: Sequence[Row], path: Path | str, given: Mapping[str, str], *, encoding: str = "utf-8", kind: str = "CSV"
) -> CgatsTable:
    """Return the table of some rows. Raises MeasurementFileError where names, cells or numbers do not fit."""
    at = names_row(rows, given, path)
    if at is None:
        raise MeasurementFileError(
            path, rows[0][0] if rows else 0, "no row with names of device values, spectra or Lab",
            "names such as RGB_R, RGB_G, RGB_B, 380, 390 above the columns", FIX if not given else "Correct `columns`.",
        )  # fmt: skip
    line, names = rows[at]
    names = _trimmed([name.strip() for name in names])
    if not all(names):
        raise MeasurementFileError(
            path, line, f"column {names.index('') + 1} without a name", "a name above each column", "Name or delete the column."
        )
    fields = guessed_names(names, given, path, line)
    seen: set[str] = set()
    for name, field in zip(names, fields, strict=True):
        if folded_name(field) in seen or folded_name(field) in PAIR_NAMES:
            raise MeasurementFileError(
                path, line, f"the column {name!r}, which means {field}, again", "each field once", f"Delete one. {FIX}"
            )
        seen.add(folded_name(field))
    cells, lines = [], []
    for number, row in rows[at + 1 :]:
        stripped = _trimmed([cell.strip() for cell in row], len(names))
        if not any(stripped):
            continue
        if len(stripped) != len(names):
            raise MeasurementFileError(
                path, number, f"{len(stripped)} cells", f"{len(names)}, one below each name of line {line}",
                "Complete the row, or measure it again, or delete it.",
            )  # fmt: skip
        cells.append(stripped)
        lines.append(number)
    if not cells:
        raise MeasurementFileError(path, line, "names without rows", "at least one row of readings", "Export the file again.")
    table = CgatsTable(
        signature=kind,
        header=tuple(_header_lines(rows[:at])),
        fields=fields,
        rows=tuple(cells),
        row_lines=tuple(lines),
        fields_line=line,
        encoding=encoding,
        notes=(mapping_sentence(names, fields),),
    )
    columns = [column for column, name in enumerate(fields) if is_numeric_field(name)]
    if uses_decimal_comma([row[column] for row in table.rows for column in columns]):
        table = replace(table, decimal_comma=True, notes=(*table.notes, "numbers are written with a decimal comma"))
    numeric_columns(table, columns, path)
    for note in table.notes:
        _LOG.info("%s: %s", path, note)
    return table


def _trimmed(cells: Sequence[str], least: int = 0) -> tuple[str, ...]:
    """Return cells without the empty ones at the end; the first ones, least of them, stay."""
    end = len(cells)
    while end > least and not cells[end - 1]:
        end -= 1
    return tuple(cells[:end])


def _header_lines(rows: Sequence[Row]) -> list[CgatsKeyword]:
    found = []
    for number, cells in rows:
        parts = [cell.strip() for cell in cells if cell.strip()]
        if parts:
            keyword, _, value = parts[0].partition(":") if len(parts) == 1 else (parts[0], "", " ".join(parts[1:]))
            found.append(CgatsKeyword(keyword.strip().rstrip(":").upper().replace(" ", "_"), value.strip(), number))
    return found
