"""Characterization data inside an ICC profile: its tables, wherever they stand.

The `targ` tag holds a text table [ICC.1-2022]; a private tag `CxF ` holds a colour exchange file [ISO-17972-1], packed
(type ZXML, found in [CRPC7-reference-output]'s profile) or as plain text.
"""

import zlib
from pathlib import Path

from spectro.errors import MeasurementFileError, TagError
from spectro.files.cgats import parse_cgats_tables
from spectro.files.cgats_table import CgatsTable
from spectro.files.cxf import parse_cxf
from spectro.files.cxf_tables import cxf_tables
from spectro.files.field_names import device_field, spectral_field
from spectro.files.xml_nodes import MAX_XML_BYTES
from spectro.icc.profile_file import parse_profile
from spectro.icc.tag_types.text import Text
from spectro.icc.tag_types.unknown import UnknownTag

_FIX = "Get the readings themselves, or a profile that carries them."


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
