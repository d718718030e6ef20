"""A display's readings: signals and what a meter saw, with the place on the screen where it is told.

Signals are RGB of 0 to 255, 0 to 100 or 0 to 1; what was seen is XYZ in cd/m², or x, y and luminance (XYY_X, XYY_Y,
XYY_CAPY). A place is told by the fields ROW and COLUMN, from 1 at the top left, or in words such as "top left" in a field
PLACE or in the patch's name (common practice, no source). References: [ISO-28178] fields.
"""

import logging
import re
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from spectro.colour.rgb_spaces import xyz_of_chromaticity
from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.numeric_cells import numeric_columns
from spectro.readings.content import read_tables
from spectro.readings.device_scale import scale_by_values
from spectro.readings.patches import NAME_FIELDS
from spectro.records.arrays import FloatArray
from spectro.records.display_check import DisplayReadings, Place
from spectro.records.shown_text import shown_name

_LOG = logging.getLogger("spectro")
_ROWS = {"top": 1, "upper": 1, "bottom": 3, "lower": 3}
_COLUMNS = {"left": 1, "right": 3}
_MIDDLE = {"centre", "center", "middle"}
_LARGEST_LUMINANCE = 20_000.0  # cd/m², beyond any display; common practice, no source
_FIX = "Export white, black, greys and primaries with RGB and XYZ in cd/m², a row a patch."


def load_display(
    path: Path,
    *,
    device_scale: int | None = None,
    white_luminance: float | None = None,
    columns: Mapping[str, str] | None = None,
) -> DisplayReadings:
    """Read the display's patches from CGATS text, CSV or a spreadsheet: of all its tables that hold signals and colours.

    device_scale: 1, 100 or 255 where the signals do not tell it. white_luminance: cd/m² of white, for files whose XYZ are
    relative; they are scaled by it. columns: field name to the name the file uses instead. Raises MeasurementFileError.
    """
    tables = [table for table in read_tables(path, columns) if _signals(table) and _colour_columns(table)]
    if not tables:
        raise MeasurementFileError(path, 0, "no table with RGB and XYZ", "RGB_R RGB_G RGB_B and XYZ_X XYZ_Y XYZ_Z", _FIX)
    if len(tables) > 1:
        rows = ", ".join(f"{len(table.rows)} rows from line {table.row_lines[0]}" for table in tables)
        _LOG.warning("%s: %d tables are read together: %s", path, len(tables), rows)
    raw = np.concatenate([numeric_columns(table, _signals(table), path) for table in tables])
    lines = tuple(line for table in tables for line in table.row_lines)
    scale = device_scale or scale_by_values(float(raw.max()), "RGB")
    if scale is None:
        raise MeasurementFileError(
            path, 0, f"{raw.max():g} as the largest signal", "255, 100 or 1 for white", "Give `device_scale` 1, 100 or 255."
        )
    wrong = np.flatnonzero(((raw < 0) | (raw > scale)).any(axis=1))
    if len(wrong):
        raise MeasurementFileError(
            path, lines[wrong[0]], f"a signal outside 0 to {scale}", f"0 to {scale}", "Correct it or `device_scale`."
        )
    rgb = raw / scale
    xyz = np.concatenate([_xyz(table, path) for table in tables])
    white = (rgb == 1).all(axis=1)
    if not white.any():
        raise MeasurementFileError(path, 0, f"no patch of RGB {scale} {scale} {scale}", "white", _FIX)
    if white_luminance is not None:
        xyz = xyz * (white_luminance / xyz[white, 1].mean())
    places = tuple(place for table in tables for place in _places(table))
    return DisplayReadings(rgb=rgb, xyz=xyz, places=places, lines=lines, origin=shown_name(path))


def _signals(table: CgatsTable) -> list[int]:
    """Return the columns of RGB, [] where they are not all there."""
    columns = [table.column(f"RGB_{channel}") for channel in "RGB"]
    return [] if None in columns else [column for column in columns if column is not None]


def _colour_columns(table: CgatsTable) -> tuple[str, list[int]] | None:
    for kind, names in (("XYZ", ("XYZ_X", "XYZ_Y", "XYZ_Z")), ("xyY", ("XYY_X", "XYY_Y", "XYY_CAPY"))):
        found = [table.column(name) for name in names]
        if None not in found:
            return kind, [column for column in found if column is not None]
    return None


def _xyz(table: CgatsTable, path: Path) -> FloatArray:
    kind, columns = _colour_columns(table) or ("", [])
    values = numeric_columns(table, columns, path)
    luminance = values[:, 1 if kind == "XYZ" else 2]
    wrong = np.flatnonzero((values < 0).any(axis=1) | (luminance > _LARGEST_LUMINANCE))
    if len(wrong):
        raise MeasurementFileError(
            path, table.row_lines[wrong[0]], f"the colour {values[wrong[0]].tolist()}", "XYZ in cd/m², none below zero",
            "Measure this patch again.",
        )  # fmt: skip
    if kind == "XYZ":
        return values
    lit = luminance > 0
    dark = np.flatnonzero(lit & ((values[:, 1] <= 0) | (values[:, 0] + values[:, 1] > 1.01)))
    if len(dark):
        raise MeasurementFileError(
            path, table.row_lines[dark[0]], f"x {values[dark[0], 0]:g}, y {values[dark[0], 1]:g}", "x and y of a colour", _FIX
        )
    xyz = np.zeros_like(values)
    xyz[lit] = xyz_of_chromaticity(values[lit, :2]) * luminance[lit, None]
    return xyz


def _places(table: CgatsTable) -> tuple[Place | None, ...]:
    row, column = table.column("ROW"), table.column("COLUMN")
    if row is not None and column is not None:
        return tuple(_numbers(cells[row], cells[column]) for cells in table.rows)
    words = table.column("PLACE", *NAME_FIELDS)
    return (None,) * len(table.rows) if words is None else tuple(place_of_words(cells[words]) for cells in table.rows)


def _numbers(row: str, column: str) -> Place | None:
    if row.isascii() and column.isascii() and row.isdecimal() and column.isdecimal() and 0 < len(row + column) < 6:
        return (int(row), int(column)) if int(row) and int(column) else None
    return None


def place_of_words(text: str) -> Place | None:
    """Return row and column of nine places from words; None where there are none.

    >>> place_of_words("white, top left"), place_of_words("left"), place_of_words("grey 128 centre"), place_of_words("white")
    ((1, 1), (2, 1), (2, 2), None)
    """
    words = set(re.findall(r"[a-z]+", text.lower()))
    rows = [place for word, place in _ROWS.items() if word in words]
    columns = [place for word, place in _COLUMNS.items() if word in words]
    if len(rows) > 1 or len(columns) > 1:
        return None
    if not rows and not columns:
        return (2, 2) if words & _MIDDLE else None
    return (rows[0] if rows else 2), (columns[0] if columns else 2)
