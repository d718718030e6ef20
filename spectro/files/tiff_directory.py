"""Directories of a TIFF as they stand in a file, and packed anew: what a picture says of itself beside its pixels.

Values are kept as bytes, least byte first; only offsets change when a directory moves. Exif data of other files is a TIFF
without pixels, so that one reader and one writer do for all.
References: [TIFF-6.0] image file header, image file directory; [CIPA-DC-008] Exif, GPS and interoperability directories.
The 64-bit form ("II+") from memory.
"""

import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import BinaryIO

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4, 16: 8, 17: 8, 18: 8}
_LETTERS = {1: "B", 3: "H", 4: "I", 6: "b", 8: "h", 9: "i", 13: "I", 16: "Q", 17: "q", 18: "Q"}
_SWAPPED = {5: 4, 10: 4}  # bytes that are turned round together; else the size of a value
BYTE, ASCII, SHORT, LONG, RATIONAL, UNDEFINED, LONG8 = 1, 2, 3, 4, 5, 7, 16
EXIF, GPS, INTEROPERABILITY = 34665, 34853, 40965
_MOST_BYTES = 256 * 1024 * 1024  # of all values of a directory
_BELOW = {0: (EXIF, GPS), 1: (INTEROPERABILITY,), 2: ()}


@dataclass(frozen=True, slots=True)
class TagValue:
    """One entry: its kind and count as in the file, its values least byte first."""

    kind: int
    count: int
    data: bytes

    def integers(self) -> tuple[int, ...]:
        """Return the values of a whole-numbered kind; none for other kinds."""
        letter = _LETTERS.get(self.kind)
        return struct.unpack(f"<{self.count}{letter}", self.data) if letter else ()

    def ratio(self) -> float:
        """Return the first of fractions, 0 where there is none."""
        if self.kind not in (5, 10) or not self.count:
            return 0.0
        top, bottom = struct.unpack_from("<II" if self.kind == 5 else "<ii", self.data)
        return float(top / bottom) if bottom else 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Directory:
    """Tags of a picture, with the directories that some of them point to."""

    tags: Mapping[int, TagValue] = field(default_factory=dict)
    below: Mapping[int, "Directory"] = field(default_factory=dict)

    def integer(self, tag: int, otherwise: int = 0) -> int:
        """Return the first whole number of a tag."""
        found = self.tags[tag].integers() if tag in self.tags else ()
        return found[0] if found else otherwise

    def raw(self, tag: int) -> bytes:
        """Return the bytes of a tag, b"" where it is absent."""
        return self.tags[tag].data if tag in self.tags else b""


@dataclass(frozen=True, slots=True, kw_only=True)
class ByteOrder:
    """How numbers stand in a file: "<" or ">", and whether offsets have 64 bits."""

    letter: str
    big: bool


def shorts(*values: int) -> TagValue:
    """Return 16-bit whole numbers as a tag's value."""
    return TagValue(SHORT, len(values), struct.pack(f"<{len(values)}H", *values))


def longs(values: tuple[int, ...], *, big: bool = False) -> TagValue:
    """Return 32-bit whole numbers as a tag's value; 64-bit ones where big."""
    return TagValue(LONG8 if big else LONG, len(values), struct.pack(f"<{len(values)}{'Q' if big else 'I'}", *values))


def read_header(file: BinaryIO) -> tuple[ByteOrder, int]:
    """Return the byte order of a TIFF and where its first directory stands. Raises ValueError where it is none."""
    start = file.read(16)
    letter = {b"II": "<", b"MM": ">"}.get(start[:2], "")
    if letter and len(start) >= 8:
        (version,) = struct.unpack_from(letter + "H", start, 2)
        if version == 42:
            return ByteOrder(letter=letter, big=False), struct.unpack_from(letter + "I", start, 4)[0]
        if version == 43 and len(start) == 16:
            return ByteOrder(letter=letter, big=True), struct.unpack_from(letter + "Q", start, 8)[0]
    raise ValueError("no header of a TIFF")


def read_directory(file: BinaryIO, order: ByteOrder, offset: int, size: int, depth: int = 0) -> tuple[Directory, int]:
    """Return a directory and where the next one stands, 0 for none. size: of the file, bytes.

    Entries of unknown kinds are left out, as [TIFF-6.0] asks of readers. Raises ValueError where an entry lies outside.
    """
    head, entry, inline = (8, 20, 8) if order.big else (2, 12, 4)
    file.seek(offset)
    data = file.read(head)
    if offset >= size or len(data) < head:
        raise ValueError(f"a directory at byte {offset} of {size}")
    (count,) = struct.unpack(order.letter + ("Q" if order.big else "H"), data)
    if not 0 < count <= 4096 or offset + head + count * entry > size:
        raise ValueError(f"a directory of {count} entries")
    body = file.read(count * entry)
    after = file.read(8 if order.big else 4).ljust(8 if order.big else 4, b"\0")
    tags: dict[int, TagValue] = {}
    below: dict[int, Directory] = {}
    left = _MOST_BYTES
    for start in range(0, count * entry, entry):
        tag, kind = struct.unpack_from(order.letter + "HH", body, start)
        (number,) = struct.unpack_from(order.letter + ("Q" if order.big else "I"), body, start + 4)
        length = number * _SIZES.get(kind, 0)
        place = body[start + entry - inline : start + entry]
        if not length or tag in tags:
            continue
        if length > inline:
            (where,) = struct.unpack(order.letter + ("Q" if order.big else "I"), place)
            left -= length
            if where + length > size or left < 0:
                raise ValueError(f"tag {tag} with {length} bytes at {where}, outside the file")
            file.seek(where)
            place = file.read(length)
        value = TagValue(kind, number, _least_first(place[:length], kind, order.letter))
        if tag in _BELOW[depth]:
            if value.integers():
                below[tag], _ = read_directory(file, order, value.integers()[0], size, depth + 1)
        else:
            tags[tag] = value
    (following,) = struct.unpack(order.letter + ("Q" if order.big else "I"), after)
    return Directory(tags=tags, below=below), following


def _least_first(data: bytes, kind: int, letter: str) -> bytes:
    step = _SWAPPED.get(kind, _SIZES[kind])
    if letter == "<" or step == 1:
        return data
    turned = bytearray(len(data))
    for byte in range(step):
        turned[byte::step] = data[step - 1 - byte :: step]
    return bytes(turned)


def pack_directory(directory: Directory, at: int, *, big: bool = False) -> bytes:
    """Return the bytes of a directory that stands at an offset (even), the ones below it and all values after it."""
    head, entry, inline = (8, 20, 8) if big else (2, 12, 4)
    number = "Q" if big else "I"
    entries = dict(directory.tags) | {tag: TagValue(LONG8 if big else LONG, 1, b"") for tag in directory.below}
    after = at + head + entry * len(entries) + inline
    table, values = struct.pack("<Q" if big else "<H", len(entries)), bytearray()
    for tag, value in sorted(entries.items()):
        where = after + len(values)
        if tag in directory.below:
            place = struct.pack("<" + number, where)
            values += pack_directory(directory.below[tag], where, big=big)
        elif len(value.data) > inline:
            place = struct.pack("<" + number, where)
            values += value.data
        else:
            place = value.data.ljust(inline, b"\0")
        values += bytes(len(values) % 2)
        table += struct.pack("<HH" + number, tag, value.kind, value.count) + place
    return table + bytes(inline) + bytes(values)
