"""A profile's bytes taken apart as far as they go: every fault is listed, none stops the reading."""

import struct
from dataclasses import dataclass

from spectro.errors import TagError
from spectro.icc.header import SIZE, Header
from spectro.icc.profile_file import check_overlap
from spectro.icc.tag_types import Tag, parse_tag

_MOST_TAGS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class TagPart:
    """One entry of the tag table with what its bytes gave."""

    signature: str
    offset: int
    size: int
    type: bytes  # first four bytes, or fewer where the file ends
    tag: Tag | None  # None where the bytes could not be parsed
    fault: str  # why not, or an empty text


def tag_parts(data: bytes) -> tuple[list[TagPart], str]:
    """Return the entries of the tag table and, where the table itself is damaged, what is wrong with it."""
    if len(data) < SIZE + 4:
        return [], f"the file ends after {len(data)} bytes, before its tag table"
    (count,) = struct.unpack(">I", data[SIZE : SIZE + 4])
    room = (len(data) - SIZE - 4) // 12
    fault = ""
    if not 0 < count <= min(_MOST_TAGS, room):
        most = min(_MOST_TAGS, room)
        fault = f"it claims {count} tags where {'the file has room for' if room == most else 'no profile has more than'} {most}"
        count = min(count, _MOST_TAGS, room)
    try:
        check_overlap(data, count)
    except TagError as error:
        return [], fault or str(error)
    parts = []
    parsed: dict[tuple[int, int], tuple[Tag | None, str]] = {}  # entries may share their bytes: they are taken apart once
    for number in range(count):
        start = SIZE + 4 + 12 * number
        signature = data[start : start + 4].decode("latin-1")
        offset, size = struct.unpack(">II", data[start + 4 : start + 12])
        if (offset, size) not in parsed:
            parsed[offset, size] = _parsed(data, offset, size)
        tag, wrong = parsed[offset, size]
        kind = data[offset : offset + min(size, 4)] if offset + size <= len(data) else b""
        parts.append(TagPart(signature=signature, offset=offset, size=size, type=kind, tag=tag, fault=wrong))
    return parts, fault


def _parsed(data: bytes, offset: int, size: int) -> tuple[Tag | None, str]:
    """Return the tag that stands there, or None and what is wrong with it."""
    if offset + size > len(data) or offset < SIZE:
        return None, f"its bytes {offset} to {offset + size} lie outside the file or in the header"
    try:
        return parse_tag(data[offset : offset + size]), ""
    except TagError as error:
        return None, str(error)


def header_or_none(data: bytes) -> tuple[Header | None, str]:
    """Return the header, or None and what is wrong with it."""
    try:
        return Header.parse(data), ""
    except TagError as error:
        return None, str(error)
