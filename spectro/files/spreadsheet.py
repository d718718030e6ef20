"""Spreadsheets (.xlsx, ISO/IEC 29500), read: one sheet of readings, its names above its columns.

The archive is judged before it is unpacked: how many parts, how large, how strongly compressed, no names that lead out,
no document types. Limits are ours: a chart of 5000 patches is about 2 MB unpacked.
"""

import io
import math
import warnings
import zipfile
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.number_text import number_text
from spectro.files.plain_table import Row, names_row, plain_table

MOST_PARTS = 1000
MOST_UNPACKED = 48 * 1024 * 1024
MOST_RATIO = 300  # unpacked to packed, of one part above a megabyte
MOST_ROWS, MOST_COLUMNS = 60_000, 2000
_DAMAGED = "Save the spreadsheet again, or export the readings as CGATS text."


def parse_spreadsheet(data: bytes, path: Path | str, columns: Mapping[str, str] | None = None) -> CgatsTable:
    """Parse the bytes of a spreadsheet with one sheet of readings. columns: field name to the column's own name."""
    _check_archive(data, path)
    given = columns or {}
    found: dict[str, list[Row]] = {}
    for name, rows in _sheets(data, path).items():
        if rows and names_row(rows, given, path) is not None:
            found[name] = rows
    if len(found) != 1:
        listed = ", ".join(found) or "none"
        raise MeasurementFileError(
            path, 0, f"{len(found)} sheets with names above their columns ({listed})", "one",
            "Save each sheet of readings to a file of its own, or say which column is which with --columns.",
        )  # fmt: skip
    return plain_table(next(iter(found.values())), path, given, kind="spreadsheet")


def _check_archive(data: bytes, path: Path | str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            _check_parts(parts, path)
            for part in parts:
                if part.filename.lower().endswith((".xml", ".rels")):
                    head = archive.read(part).replace(b"\0", b"")
                    if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
                        raise MeasurementFileError(
                            path, 0, f"a document type in {part.filename}", "plain XML", "This is no file to be trusted."
                        )
    except MeasurementFileError:
        raise
    except Exception as error:  # damaged archives end in a dozen kinds of error
        raise MeasurementFileError(path, 0, f"a damaged archive ({error})", "a spreadsheet (.xlsx)", _DAMAGED) from error


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
            raise MeasurementFileError(
                path, 0, f"a part named {part.filename!r}", "names within the archive", "This is no file to be trusted."
            )
        if part.file_size > 1024 * 1024 and part.file_size > MOST_RATIO * max(part.compress_size, 1):
            raise MeasurementFileError(
                path, 0, f"{part.filename}, {part.file_size} bytes out of {part.compress_size}",
                f"at most {MOST_RATIO} times as much", "This is no file to be trusted.",
            )  # fmt: skip
        if part.flag_bits & 1:
            raise MeasurementFileError(path, 0, "an encrypted archive", "an open one", "Save it without a password.")
    if "[Content_Types].xml" not in names or len(set(names)) != len(names):
        raise MeasurementFileError(path, 0, "an archive that is no spreadsheet", "a spreadsheet (.xlsx)", _DAMAGED)


def _sheets(data: bytes, path: Path | str) -> dict[str, list[Row]]:
    import openpyxl

    found: dict[str, list[Row]] = {}
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and extensions, which do not touch the cells
            workbook = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            for sheet in workbook.worksheets:
                sheet.reset_dimensions()  # what the file says of its size is not trusted
                rows: list[Row] = []
                for number, values in enumerate(sheet.iter_rows(values_only=True), start=1):
                    if number > MOST_ROWS or len(values) > MOST_COLUMNS:
                        raise MeasurementFileError(
                            path, number, f"more than {MOST_ROWS} rows or {MOST_COLUMNS} columns", "the readings of one chart",
                            "Delete what does not belong to the readings.",
                        )  # fmt: skip
                    cells = tuple(_cell_text(value) for value in values)
                    if any(cells):
                        rows.append((number, cells))
                width = max((len(cells) for _, cells in rows), default=0)
                found[sheet.title] = [(number, cells + ("",) * (width - len(cells))) for number, cells in rows]
            workbook.close()
    except MeasurementFileError:
        raise
    except Exception as error:  # the library names the faults of a damaged file in many ways
        raise MeasurementFileError(
            path, 0, f"a spreadsheet that cannot be read ({type(error).__name__})", "an undamaged one", _DAMAGED
        ) from error
    return found


def _cell_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return number_text(value) if math.isfinite(value) else str(value)
    return " ".join(str(value).split())
