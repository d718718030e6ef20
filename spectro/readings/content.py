"""Which kind of file this is, told from what stands in it, never from its name, and its tables.

Kinds: CGATS text, colour exchange files (CxF3), spreadsheets (.xlsx), ICC profiles with characterization data, CSV.

Characterization data in a profile: its tag `targ` holds a text table [ICC.1-2022]; a private tag `CxF ` holds a colour exchange
file [ISO-17972-1], packed (type ZXML, found in [CRPC7-reference-output]'s profile) or as plain text.
"""

import re
import zlib
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path

from spectro.errors import MeasurementFileError, TagError
from spectro.files.cgats import parse_cgats_tables
from spectro.files.cgats_header import STRUCTURE, first_word
from spectro.files.cgats_table import CgatsTable
from spectro.files.column_mapping import renamed
from spectro.files.cxf import parse_cxf
from spectro.files.cxf_tables import cxf_tables
from spectro.files.delimited import parse_delimited
from spectro.files.field_names import device_field, spectral_field
from spectro.files.spreadsheet import parse_spreadsheet
from spectro.files.text_lines import read_bytes, text_lines
from spectro.files.xml_nodes import MAX_XML_BYTES
from spectro.icc.profile_file import parse_profile
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.unknown import UnknownTag

_FOREIGN = {
    b"\xd0\xcf\x11\xe0": "a spreadsheet of the old binary kind (.xls)",
    b"%PDF": "a PDF",
    b"\x1f\x8b": "a compressed file",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"II*\0": "a picture",
    b"MM\0*": "a picture",
}
_XML = re.compile(rb"\s*<[?!\w]")
_SIGNATURE = re.compile(r"(CGATS|ISO28178|IS12642|IT8)\S*", re.IGNORECASE)
_FIX = "Get the readings themselves, or a profile that carries them."


class Content(StrEnum):
    """Kinds of files of readings."""

    CGATS = "CGATS text"
    CXF = "colour exchange file"
    CSV = "CSV"
    SPREADSHEET = "spreadsheet"
    PROFILE = "ICC profile"


def content_of(data: bytes, path: Path | str) -> Content:
    """Return the kind of a file by its bytes. Raises MeasurementFileError for kinds that hold no readings.

    >>> content_of(b"id,R,G,B,400\\n", "a.txt").value, content_of(b"CGATS.17\\nBEGIN_DATA", "a.csv").value
    ('CSV', 'CGATS text')
    """
    for start, words in _FOREIGN.items():
        if data.startswith(start):
            raise MeasurementFileError(
                path,
                0,
                words,
                "readings as CGATS text, CxF3, CSV, .xlsx or an ICC profile",
                "Export the readings as CGATS text.",
            )
    if data.startswith(b"PK"):
        return Content.SPREADSHEET
    if data[36:40] == b"acsp":
        return Content.PROFILE
    if _XML.match(data[:200].replace(b"\0", b"").removeprefix(b"\xef\xbb\xbf").lstrip(b"\xff\xfe")):
        return Content.CXF
    lines = text_lines(data, path).lines
    first = next((line.strip() for line in lines if line.strip()), "")
    if _SIGNATURE.fullmatch(first.split()[0]) or any(first_word(line) in STRUCTURE for line in lines):
        return Content.CGATS
    return Content.CSV


def tables_of_bytes(data: bytes, path: Path | str, columns: Mapping[str, str] | None = None) -> tuple[CgatsTable, ...]:
    """Return the tables of a file's bytes, at least one. columns: field name to the name the file uses instead."""
    if not data:
        raise MeasurementFileError(path, 0, "an empty file", "readings or a chart table", "Export the file again.")
    match content_of(data, path):
        case Content.CSV:
            return (parse_delimited(data, path, columns),)
        case Content.SPREADSHEET:
            return (parse_spreadsheet(data, path, columns),)
        case Content.CXF:
            tables = cxf_tables(parse_cxf(data, path), path)
        case Content.PROFILE:
            tables = profile_tables(data, path)
        case Content.CGATS:
            tables = parse_cgats_tables(data, path)
    return tuple(renamed(table, columns, path) for table in tables) if columns else tables


def read_tables(path: Path, columns: Mapping[str, str] | None = None) -> tuple[CgatsTable, ...]:
    """Read a file of any kind and return its tables. Raises MeasurementFileError, also for files that are too large."""
    return tables_of_bytes(read_bytes(path), path, columns)


def profile_tables(data: bytes, path: Path | str) -> tuple[CgatsTable, ...]:
    """Return the tables of characterization data in a profile's bytes. path: for messages.

    Where both tags hold data the one with spectra counts, else the one with device values. Raises MeasurementFileError
    for a profile without such data, a damaged one, and where both tags could be meant.
    """
    try:
        tags = parse_profile(data).tags
    except TagError as error:
        raise MeasurementFileError(path, 0, str(error), "an undamaged ICC profile", "Get the file again.") from error
    found: dict[str, tuple[CgatsTable, ...]] = {}
    text = tags.get("targ")
    if isinstance(text, Text) and "BEGIN_DATA" in text.text:
        place = f"{path} (tag targ)"
        found["targ"] = parse_cgats_tables(text.text.encode("latin-1"), place)
    exchange = tags.get("CxF ")
    if exchange is not None:
        place = f"{path} (tag CxF)"
        found["CxF "] = cxf_tables(parse_cxf(_exchange_bytes(exchange, place), place), place)
    if not found:
        raise MeasurementFileError(path, 0, "an ICC profile without characterization data", "data in its tag targ or CxF", _FIX)
    if len(found) == 1:
        return next(iter(found.values()))
    ranks = {name: max(map(_rank, tables)) for name, tables in found.items()}
    best = [name for name, rank in ranks.items() if rank == max(ranks.values())]
    if len(best) > 1:
        raise MeasurementFileError(path, 0, "characterization data in the tag targ and in the tag CxF", "one of them", _FIX)
    return found[best[0]]


def _rank(table: CgatsTable) -> int:
    return 2 * any(map(spectral_field, table.fields)) + any(map(device_field, table.fields))


def _exchange_bytes(tag: object, place: str) -> bytes:
    if isinstance(tag, Text):
        return tag.text.encode("latin-1")
    if isinstance(tag, UnknownTag) and tag.data[:4] == b"ZXML" and len(tag.data) > 12:
        unpacker = zlib.decompressobj()
        try:
            data = unpacker.decompress(tag.data[12:], MAX_XML_BYTES)
        except zlib.error as error:
            raise MeasurementFileError(place, 0, f"damaged data ({error})", "packed XML", "Get the file again.") from error
        if unpacker.unconsumed_tail or not unpacker.eof:
            raise MeasurementFileError(
                place, 0, f"data cut short or above {MAX_XML_BYTES} bytes unpacked", "packed XML", "Get the file again."
            )
        return data
    raise MeasurementFileError(place, 0, "data in an unknown form", "text or packed XML", _FIX)
