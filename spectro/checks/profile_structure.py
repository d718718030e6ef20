"""Rules of a profile's bytes: header, tag table, required tags, types by version.

References: [ICC.1-2022] profile header, tag table, required tags, tag type definitions; [ICC.1-2001] the same of version 2.
"""

import struct

from spectro.icc.header import Header
from spectro.icc.inspection import TagPart
from spectro.icc.numbers import D50_BYTES
from spectro.icc.profile_file import profile_id
from spectro.icc.table_channels import CHANNELS, channels_fault
from spectro.records.profile_listing import ProfileFinding, Severity

CLASSES = {
    b"scnr": "input", b"mntr": "display", b"prtr": "output", b"link": "device link",
    b"spac": "colour space", b"abst": "abstract", b"nmcl": "named colour",
}  # fmt: skip
_TABLES = ("A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt")
_OF_LINKS = ("desc", "cprt", "pseq", "A2B0")
_NEW_TYPES = {b"mluc", b"para", b"mAB ", b"mBA "}  # not in version 2
_OLD_TYPES = {b"desc"}  # not in version 4


def _fault(place: str, text: str) -> ProfileFinding:
    return ProfileFinding(severity=Severity.FAULT, place=place, text=text)


def _note(place: str, text: str) -> ProfileFinding:
    return ProfileFinding(severity=Severity.NOTE, place=place, text=text)


def header_findings(data: bytes, header: Header) -> list[ProfileFinding]:
    """Check the header's fields."""
    found = []
    (size,) = struct.unpack(">I", data[:4])
    if size != len(data):
        found.append(_fault("header", f"the size field says {size} bytes, the file has {len(data)}: cut, or something added"))
    major, minor = header.version
    if (major, minor) not in {(2, 0), (2, 1), (2, 2), (2, 3), (2, 4), (4, 0), (4, 1), (4, 2), (4, 3), (4, 4)}:
        found.append(_fault("header", f"version {major}.{minor} is not one of ICC versions 2.0 to 2.4 and 4.0 to 4.4"))
    if header.device_class not in CLASSES:
        found.append(_fault("header", f"the profile class {header.device_class!r} does not exist"))
    if header.colour_space not in CHANNELS:
        found.append(_fault("header", f"the colour space {header.colour_space!r} does not exist"))
    if header.pcs not in (b"Lab ", b"XYZ ") and header.device_class != b"link":
        found.append(_fault("header", f"the connection space is {header.pcs!r}; expected Lab or XYZ"))
    if header.date is None:
        found.append(_fault("header", "the date is none: some programs refuse such a profile"))
    if header.intent > 3:
        found.append(_fault("header", f"rendering intent {header.intent}; expected 0 to 3"))
    if header.illuminant != D50_BYTES:
        found.append(_fault("header", "the illuminant is not D50 as the specification writes it"))
    if any(data[100:128]):
        found.append(_note("header", "reserved bytes 100 to 127 are not zero"))
    stored = data[84:100]
    if not any(stored):
        found.append(_note("header", "no profile ID"))
    elif major >= 4 and stored != profile_id(data):
        found.append(_fault("header", "the profile ID does not fit the bytes: the file was changed after it was made"))
    return found


def table_findings(data: bytes, parts: list[TagPart]) -> list[ProfileFinding]:
    """Check offsets, sizes, overlaps, gaps and each tag's own bytes."""
    found = [_fault(part.signature, part.fault) for part in parts if part.fault]
    names = [part.signature for part in parts]
    found += [_fault(name, "stands twice in the tag table") for name in dict.fromkeys(names) if names.count(name) > 1]
    found += [_fault(part.signature, f"begins at byte {part.offset}, not a multiple of 4") for part in parts if part.offset % 4]
    spans = sorted({(part.offset, part.size) for part in parts if not part.fault})
    end = 132 + 12 * len(parts)
    for offset, size in spans:
        if offset < end:
            found.append(_fault("tag table", f"the data at byte {offset} overlaps what lies before it"))
        elif offset - end > 3:
            found.append(_note("tag table", f"{offset - end} unused bytes before byte {offset}"))
        end = max(end, offset + size)
    if spans and len(data) - end > 3:
        found.append(_note("tag table", f"{len(data) - end} unused bytes at the end"))
    return found


def tag_findings(header: Header, parts: list[TagPart]) -> list[ProfileFinding]:
    """Check that the required tags are there, of types that the version allows, with the channels of the colour space."""
    found = []
    names = {part.signature for part in parts}
    if header.device_class != b"link":
        found += [
            _fault(name, "is missing; every profile must have it") for name in ("desc", "cprt", "wtpt") if name not in names
        ]
    if header.device_class == b"link":
        found += [_fault(name, "is missing; every device link must have it") for name in _OF_LINKS if name not in names]
        found += [_note(name, "is not used in a device link") for name in ("wtpt", *_TABLES[1:]) if name in names]
    if header.device_class == b"prtr":
        if header.colour_space == b"GRAY" and ("kTRC" in names or "A2B0" not in names):
            found += [] if "kTRC" in names else [_fault("kTRC", "is missing; a grey output profile needs it")]
        else:
            missing = [name for name in _TABLES if name not in names]
            required = [name for name in missing if name in ("A2B0", "B2A0")]
            found += [_fault(name, "is missing; an output profile needs it for all intents") for name in required]
            found += [
                _note(name, "is missing; programs take another intent's table") for name in missing if name not in required
            ]
    major = header.version[0]
    for part in parts:
        if major == 2 and part.type in _NEW_TYPES:
            found.append(
                _fault(part.signature, f"has the type {part.type.decode('latin-1')!r} of version 4 in a profile of version 2")
            )
        if major >= 4 and part.type in _OLD_TYPES:
            found.append(_fault(part.signature, "has the type 'desc' of version 2 in a profile of version 4"))
        contradiction = channels_fault(header, part.signature, part.tag)
        if contradiction:
            found.append(_fault(part.signature, contradiction))
    return found
