"""Cells of a table to numbers, all at once; a cell that is no number is named with its line."""

import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.records.arrays import FloatArray

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_NOT_IN_NUMBERS = re.compile(r"[^0-9+\-.eE ]")
_COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+(?:[eE][+-]?\d+)?", re.ASCII)


def numeric_columns(table: CgatsTable, columns: Sequence[int], path: Path | str) -> FloatArray:
    """Return the numbers of some columns, (rows, columns), finite.

    Digits, one decimal point (or comma, where the table is written so) and an exponent; no other spelling is a number.
    Raises MeasurementFileError with the line and the field of the first cell that is none.
    """
    wanted = list(columns)
    cells = [row[column] for row in table.rows for column in wanted]
    texts = [cell.replace(",", ".") for cell in cells] if table.decimal_comma else cells
    try:
        if _NOT_IN_NUMBERS.search(" ".join(texts)):
            raise ValueError
        values = np.array(list(map(float, texts)), dtype=np.float64).reshape(len(table.rows), len(wanted))
    except ValueError:
        values = np.full((len(table.rows), len(wanted)), np.nan)
    if not np.isfinite(values).all():
        _refuse(table, wanted, path)
    return values


def uses_decimal_comma(cells: Sequence[str]) -> bool:
    """Tell whether numbers are written with a decimal comma: at least one is, and none has a point.

    >>> uses_decimal_comma(["0,5", "1"]), uses_decimal_comma(["0,5", "0.5"]), uses_decimal_comma(["1", "2"])
    (True, False, False)
    """
    together = " ".join(cells)
    if "," not in together or "." in together:
        return False
    return all(_COMMA_NUMBER.fullmatch(cell) for cell in cells if "," in cell)


def _refuse(table: CgatsTable, columns: Sequence[int], path: Path | str) -> None:
    for line, row in zip(table.row_lines, table.rows, strict=True):
        for column in columns:
            cell = row[column].replace(",", ".") if table.decimal_comma else row[column]
            if not _NUMBER.fullmatch(cell) or not np.isfinite(float(cell)):
                raise MeasurementFileError(
                    path,
                    line,
                    f"{row[column]!r} as {table.fields[column]}" if row[column] else f"no {table.fields[column]}",
                    "a finite number such as 0.5",
                    table.row_fix,
                )
