"""Spreadsheets (.xlsx, ISO/IEC 29500-1), read: one sheet of readings, its names above its columns.

Only cells are looked at: numbers as they are written, texts, results of formulas that were stored. A cell whose address
does not fit its row and order is refused, and so is whatever leads out of the archive. The archive is judged before it is
unpacked: how many parts, how large, how strongly compressed. Limits are ours: a chart of 5000 patches is about 2 MB unpacked.

Reference: [ISO-IEC-29500-1] spreadsheets: workbook, relationships, shared strings, cells.
"""

import io
import posixpath
import zipfile
from collections.abc import Mapping
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.plain_table import Row, names_row, plain_table
from spectro.files.sheet_cells import DAMAGED, sheet_rows
from spectro.files.xml_nodes import XmlNode, parse_xml

MOST_PARTS = 1000
MOST_UNPACKED = 48 * 1024 * 1024
MOST_RATIO = 300  # unpacked to packed, of one part above a megabyte
_NO_TRUST = "This is no file to be trusted."


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
