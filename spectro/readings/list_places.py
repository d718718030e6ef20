"""Where the patches of a chart's lists stand: from fields for page, row and column, else from labels such as A1.

Letters of a label are the strip and its number the place along it, as on our own pages. Rows and columns that count from
0 are counted from 1. Files are pages: by their page numbers where no two share one, else in the order given.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import POSITION_FIELDS
from spectro.readings.patches import Patches, label_positions
from spectro.records.arrays import IntArray

_WHOLE = re.compile(r"\d{1,6}(?:\.0*)?", re.ASCII)
_LETTERS = re.compile(r"[A-Za-z]{1,2}", re.ASCII)
_NOWHERE = np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ListedPlaces:
    """Places of all patches, file after file, and how they were come by."""

    values: IntArray  # (n, 3) page, row, column from 1, or (0, 3)
    origin: str  # "fields", "names", "ids"; "" where nothing states them
    notes: tuple[str, ...]


def listed_places(tables: Sequence[CgatsTable], parts: Sequence[Patches]) -> ListedPlaces:
    """Return the places of the patches of some files, one after another.

    Raises MeasurementFileError where fields state a place in part or one place twice.
    """
    values, origin = [_field_places(table, part) for table, part in zip(tables, parts, strict=True)], "fields"
    if not all(map(len, values)):
        if any(map(len, values)):
            lacking = next(part for part, found in zip(parts, values, strict=True) if not len(found))
            raise MeasurementFileError(
                lacking.path, 0, "no ROW and COLUMN, which other files have", "places in all files or in none",
                "Export all pages in the same way.",
            )  # fmt: skip
        by_label = {
            "names": [label_positions(part.names) for part in parts],
            "ids": [label_positions(part.ids or ("",)) for part in parts],
        }
        origin = next((word for word, found in by_label.items() if all(map(len, found))), "")
        values = by_label.get(origin, [])
        if not values:
            return ListedPlaces(values=_NOWHERE, origin="", notes=())
    notes: list[str] = []
    if origin == "fields":
        _count_from_one(values)
    else:
        values = [_from_first_column(found) for found in values]
    _number_pages(values, notes)
    _check_distinct(values, parts)
    return ListedPlaces(values=np.concatenate(values), origin=origin, notes=tuple(notes))


def _field_places(table: CgatsTable, part: Patches) -> IntArray:
    """Return page (0 where there is no field for it), row and column as written; (0, 3) without rows and columns."""
    page, row, column = (table.column(name) for name in POSITION_FIELDS)
    if row is None or column is None:
        return _NOWHERE
    places = []
    for line, cells in zip(table.row_lines, table.rows, strict=True):
        own = [cells[row], cells[column]] if page is None else [cells[page], cells[row], cells[column]]
        numbers = [_counted(cell) for cell in own]
        if None in numbers:
            raise MeasurementFileError(
                part.path, line, f"{', '.join(map(repr, own))} as a place", "page, row and column as whole numbers or letters",
                "Correct the cells, or delete these columns.",
            )  # fmt: skip
        places.append([0, *numbers] if page is None else numbers)
    return np.array(places, dtype=np.int64).reshape(-1, 3)


def _counted(cell: str) -> int | None:
    """Return the number of a cell: digits, or letters as spreadsheets letter their columns; None for anything else."""
    if _WHOLE.fullmatch(cell):
        return int(float(cell))
    if not _LETTERS.fullmatch(cell):
        return None
    number = 0
    for letter in cell.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _count_from_one(values: Sequence[IntArray]) -> None:
    """Count rows and columns from 1 where any of them is 0, in place."""
    for axis in (1, 2):
        if min(int(found[:, axis].min()) for found in values) == 0:
            for found in values:
                found[:, axis] += 1


def _from_first_column(places: IntArray) -> IntArray:
    """Return places with the columns of each page counted from its first: letters often go on over the pages."""
    result = places.copy()
    for page in np.unique(places[:, 0]):
        here = places[:, 0] == page
        result[here, 2] -= places[here, 2].min() - 1
    return result


def _number_pages(values: Sequence[IntArray], notes: list[str]) -> None:
    """Number the pages from 1 without gaps, in place."""
    pages = [set(found[:, 0].tolist()) for found in values]
    known = sorted(set().union(*pages))
    if len(values) == 1 or (sum(map(len, pages)) == len(known)):
        if known[0] > 0 and known != list(range(1, len(known) + 1)):
            notes.append(f"Pages {', '.join(map(str, known))} are the new chart's pages 1 to {len(known)}.")
        for found in values:
            found[:, 0] = np.searchsorted(known, found[:, 0]) + 1
        return
    if any(len(own) > 1 for own in pages):
        notes.append("Files share page numbers; each page of each file is taken as a page of its own, in the order given.")
    else:
        notes.append("The files are taken as pages in the order given: none, or the same, has a page number.")
    before = 0
    for found, own in zip(values, pages, strict=True):
        found[:, 0] = np.searchsorted(sorted(own), found[:, 0]) + 1 + before
        before += len(own)


def _check_distinct(values: Sequence[IntArray], parts: Sequence[Patches]) -> None:
    taken: dict[tuple[int, ...], str] = {}
    for found, part in zip(values, parts, strict=True):
        for index, place in enumerate(found.tolist()):
            there = taken.setdefault(tuple(place), part.place(index))
            if there != part.place(index):
                page, row, column = place
                raise MeasurementFileError(
                    part.path, part.lines[index], f"{part.place(index)} on page {page}, row {row}, column {column}, where "
                    f"{there} stands", "each place once", "Correct the list.",
                )  # fmt: skip
