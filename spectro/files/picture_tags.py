"""What a picture says of itself beside its pixels: as tags of a TIFF, whichever file it comes from or goes to.

Exif, XMP, IPTC, resolution and orientation are carried over as they are. What describes the pixels of the old file, such as
its strips, its profile or a small copy of it, is left out.
References: [TIFF-6.0]; [CIPA-DC-008]; [ICC.1-2022] embedding in TIFF files; tags of XMP, IPTC and resource blocks as
registered for TIFF, from memory.
"""

import io
import struct
from collections.abc import Mapping

from spectro.files.tiff_directory import (
    BYTE,
    EXIF,
    INTEROPERABILITY,
    RATIONAL,
    UNDEFINED,
    Directory,
    TagValue,
    pack_directory,
    read_directory,
    read_header,
    shorts,
)

ORIENTATION, X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 274, 282, 283, 296
XMP, IPTC, RESOURCES, PROFILE = 700, 33723, 34377, 34675
COLOUR_SPACE, _UNCALIBRATED, OPRGB_INDEX = 40961, 65535, b"R03"
_IPTC_RESOURCE = 0x0404
DESCRIPTION, _NO_TEXT = 270, TagValue(2, 0, b"")
_SHAPE = b'{"shape": '  # a description for programs, of how the pixels lie
_OF_THE_PIXELS = {254, 255, 266, 284, 301, 317, 330, 336, 338, 339, 347, 529, 530, 531, 532, 34675, 37724, 32997, 32998, 50341}
_OF_THE_PIXELS |= {*range(256, 260), 262, 263, 273, *range(277, 282), *range(288, 294), *range(318, 326), *range(332, 335)}
_OF_THE_PIXELS |= {*range(340, 343), *range(512, 516), *range(517, 522)}
"""Tags of the pixels as they were stored, of other copies and of layers."""


def kept_tags(directory: Directory) -> Directory:
    """Return what of a picture's directory holds for a converted copy too."""
    tags = {tag: value for tag, value in directory.tags.items() if tag not in _OF_THE_PIXELS}
    if tags.get(DESCRIPTION, _NO_TEXT).data.startswith(_SHAPE):
        del tags[DESCRIPTION]
    return Directory(tags=tags, below=directory.below)


def exif_tags(blob: bytes) -> Directory:
    """Return the tags of an Exif block, with or without the mark before it. Raises ValueError where it is damaged."""
    blob = blob.removeprefix(b"Exif\0\0")
    file = io.BytesIO(blob)
    order, offset = read_header(file)
    return kept_tags(read_directory(file, order, offset, len(blob))[0])


def exif_block(directory: Directory) -> bytes:
    """Return tags as the Exif block of a PNG or JPEG; XMP, IPTC and resource blocks stand elsewhere there."""
    tags = {tag: value for tag, value in directory.tags.items() if tag not in (XMP, IPTC, RESOURCES)}
    if not tags and not directory.below:
        return b""
    return b"II*\0\x08\0\0\0" + pack_directory(Directory(tags=tags, below=directory.below), 8)


def with_tags(directory: Directory, more: Mapping[int, TagValue]) -> Directory:
    """Return a directory with further tags, which stand over those of the same number."""
    return Directory(tags={**directory.tags, **more}, below=directory.below)


def resolution_tags(x: tuple[int, int], y: tuple[int, int], *, centimetres: bool) -> dict[int, TagValue]:
    """Return pixels per inch, or per centimetre, as fractions (top, bottom)."""
    return {
        X_RESOLUTION: TagValue(RATIONAL, 1, struct.pack("<II", *x)),
        Y_RESOLUTION: TagValue(RATIONAL, 1, struct.pack("<II", *y)),
        RESOLUTION_UNIT: shorts(3 if centimetres else 2),
    }


def pixels_per_inch(directory: Directory) -> tuple[float, float] | None:
    """Return pixels per inch across and down; None where the picture does not say."""
    if not {X_RESOLUTION, Y_RESOLUTION} <= set(directory.tags):
        return None
    unit = directory.integer(RESOLUTION_UNIT, 2)
    x, y = directory.tags[X_RESOLUTION].ratio(), directory.tags[Y_RESOLUTION].ratio()
    if unit not in (2, 3) or x <= 0 or y <= 0:
        return None
    return (x, y) if unit == 2 else (x * 2.54, y * 2.54)


def orientation(directory: Directory) -> int:
    """Return how a picture is to be turned, 1 to 8 of [TIFF-6.0] Orientation; 1 where it does not say."""
    found = directory.integer(ORIENTATION, 1)
    return found if 1 <= found <= 8 else 1


def says_oprgb(directory: Directory) -> bool:
    """Tell whether a camera says that its numbers are in opRGB although no profile is there. [CIPA-DC-008] R03."""
    below = directory.below.get(EXIF, Directory()).below.get(INTEROPERABILITY, Directory())
    return below.raw(1).startswith(OPRGB_INDEX)


def without_colour_claims(directory: Directory) -> Directory:
    """Return tags in which Exif no longer claims sRGB for numbers that are a printer's. [CIPA-DC-008] ColorSpace."""
    exif = directory.below.get(EXIF)
    if exif is None or COLOUR_SPACE not in exif.tags:
        return directory
    changed = Directory(tags={**exif.tags, COLOUR_SPACE: shorts(_UNCALIBRATED)}, below=exif.below)
    return Directory(tags=directory.tags, below={**directory.below, EXIF: changed})


def xmp_tag(packet: bytes) -> dict[int, TagValue]:
    """Return an XMP packet as a tag."""
    return {XMP: TagValue(BYTE, len(packet), packet)}


def resource_tags(blocks: bytes) -> dict[int, TagValue]:
    """Return resource blocks as tags, and the IPTC record that one of them may hold as its own."""
    found = {RESOURCES: TagValue(UNDEFINED, len(blocks), blocks)}
    at = 0
    while at + 12 <= len(blocks):
        (name,) = struct.unpack_from(">H", blocks, at + 4)
        start = at + 6 + (blocks[at + 6] | 1) + 1
        if start + 4 > len(blocks):
            break
        (length,) = struct.unpack_from(">I", blocks, start)
        if name == _IPTC_RESOURCE:
            record = blocks[start + 4 : start + 4 + length]
            found[IPTC] = TagValue(UNDEFINED, len(record), record)
        at = start + 4 + length + length % 2
    return found
