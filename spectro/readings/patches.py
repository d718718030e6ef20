"""The patches of one table, without their readings: ids, names, device values as written, places on the page."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import POSITION_FIELDS, SHEET_FIELD
from spectro.files.field_names import channels_of, device_field
from spectro.files.numeric_cells import numeric_columns
from spectro.readings.labels import column_number
from spectro.records.arrays import FloatArray, IntArray

ID_FIELDS = ("SAMPLE_ID", "SAMPLE_NO", "SAMPLE_NUMBER")
NAME_FIELDS = ("SAMPLE_NAME", "SAMPLE_LOC", "SAMPLE_LOCATION", "PATCH_NAME")
_LETTERS = re.compile(r"[A-Za-z]{1,2}", re.ASCII)
_WHOLE = re.compile(r"\d{1,6}(?:\.0*)?", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patches:
    """Patches as one table lists them."""

    path: Path | str
    lines: tuple[int, ...]
    ids: tuple[str, ...] | None  # None: the table has none
    names: tuple[str, ...]  # "" where there is none
    colour_space: str | None  # None: the table has no device values
    raw: FloatArray  # (n, channels) device values as written
    texts: tuple[str, ...]  # the same as text with a decimal point, row after row
    positions: IntArray  # (n, 3) from PAGE, ROW, COLUMN, or (0, 3)
    sheets: IntArray  # (n,) from SHEET, or (0,)
    cells: IntArray  # (n, 3) the same as stated: page 0 where no field says it, letters counted, from 0 or 1; or (0, 3)

    def place(self, row: int) -> str:
        """Return the words that name a row in a message."""
        return f"patch {self.ids[row]}" if self.ids else f"row {row + 1}"


def table_patches(table: CgatsTable, path: Path | str) -> Patches:
    """Return the patches of a table. Raises MeasurementFileError for an incomplete or doubled set of device columns."""
    id_column = table.column(*ID_FIELDS)
    name_column = table.column(*NAME_FIELDS)
    ids = table.texts(id_column) if id_column is not None else None
    if ids is not None and not all(ids):
        raise MeasurementFileError(
            path,
            table.row_lines[ids.index("")],
            "no SAMPLE_ID",
            "one in every row",
            "Add it, or delete the column of ids.",
        )
    colour_space, columns = _device_columns(table, path)
    raw = numeric_columns(table, columns, path)
    texts = [row[column] for row in table.rows for column in columns]
    return Patches(
        path=path,
        lines=table.row_lines,
        ids=ids,
        names=table.texts(name_column) if name_column is not None else ("",) * len(table.rows),
        colour_space=colour_space,
        raw=raw,
        texts=tuple(text.replace(",", ".") for text in texts) if table.decimal_comma else tuple(texts),
        positions=_whole_numbers(table, POSITION_FIELDS),
        sheets=_whole_numbers(table, (SHEET_FIELD,)).reshape(-1),
        cells=_field_cells(table),
    )


def counted(cell: str) -> int | None:
    """Return the number of a cell: digits, or letters as spreadsheets letter their columns; None for anything else.

    >>> counted("7"), counted("B"), counted("7b")
    (7, 2, None)
    """
    if _WHOLE.fullmatch(cell):
        return int(float(cell))
    return column_number(cell) if _LETTERS.fullmatch(cell) else None


def _device_columns(table: CgatsTable, path: Path | str) -> tuple[str | None, list[int]]:
    """Return colour space and columns, in the order of the channels, whatever their order in the file."""
    found: dict[str, dict[str, int]] = {}
    for column, name in enumerate(table.fields):
        meaning = device_field(name)
        if meaning:
            found.setdefault(meaning[0], {})[meaning[1]] = column
    if not found:
        return None, []
    if len(found) > 1:
        raise MeasurementFileError(
            path,
            table.fields_line,
            f"device values of {' and '.join(found)}",
            "those that were sent to the printer, once",
            "Delete the columns of the other.",
        )
    colour_space, columns = next(iter(found.items()))
    missing = [channel for channel in channels_of(colour_space) if channel not in columns]
    if missing:
        raise MeasurementFileError(
            path,
            table.fields_line,
            f"{colour_space} without {', '.join(f'{colour_space}_{channel}' for channel in missing)}",
            f"{len(channels_of(colour_space))} device values a patch",
            "Export the file again with all device values, or delete their columns and give `chart`.",
        )
    return colour_space, [columns[channel] for channel in channels_of(colour_space)]


def _whole_numbers(table: CgatsTable, fields: Sequence[str]) -> IntArray:
    """Return the cells (n, k) of fields that hold whole numbers from 1; (0, k) where any does not or is missing."""
    columns = [table.column(name) for name in fields]
    places = []
    for row in table.rows:
        cells = [row[column] for column in columns if column is not None]
        if len(cells) < len(fields) or not all(_WHOLE.fullmatch(cell) for cell in cells):
            return np.zeros((0, len(fields)), dtype=np.int64)
        places.append([int(float(cell)) for cell in cells])
    values = np.array(places, dtype=np.int64).reshape(-1, len(fields))
    return values if (values > 0).all() else np.zeros((0, len(fields)), dtype=np.int64)


def _field_cells(table: CgatsTable) -> IntArray:
    """Return page (0 without a field for it), row and column as stated; (0, 3) unless every row states both."""
    page, row, column = (table.column(name) for name in POSITION_FIELDS)
    if row is None or column is None:
        return np.zeros((0, 3), dtype=np.int64)
    cells = [[0 if page is None else counted(line[page]), counted(line[row]), counted(line[column])] for line in table.rows]
    if any(None in line for line in cells):
        return np.zeros((0, 3), dtype=np.int64)
    return np.array(cells, dtype=np.int64).reshape(-1, 3)
