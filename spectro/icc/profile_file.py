"""A whole profile: header and tags, from bytes and to bytes. [ICC.1-2022] profile structure, profile ID."""

import hashlib
import struct
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import ProfileFileError, TagError
from spectro.icc.header import SIZE, Header
from spectro.icc.table_channels import check_channels
from spectro.icc.tag_types import Tag, parse_tag

LARGEST_BYTES = 256 * 1024 * 1024
_MOST_OVERLAP = 2
"""All tags together hold at most so many times the bytes of the file; ours: tags may share bytes, but not without end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IccProfile:
    """Header and tags in file order. Tags that share their bytes in a file are equal objects here."""

    header: Header
    tags: dict[str, Tag]
    profile_id: bytes = bytes(16)  # as stored; packing computes it anew


def profile_id(data: bytes) -> bytes:
    """Return the profile ID of a profile's bytes: MD5 with flags, intent and the ID itself taken as zero."""
    blank = data[:44] + bytes(4) + data[48:64] + bytes(4) + data[68:84] + bytes(16) + data[100:]
    return hashlib.md5(blank, usedforsecurity=False).digest()


def pack_profile(profile: IccProfile) -> bytes:
    """Return the bytes of a profile: every tag at a multiple of four, equal tags stored once, profile ID computed."""
    places: dict[bytes, int] = {}
    body = b""
    start = SIZE + 4 + 12 * len(profile.tags)
    table = struct.pack(">I", len(profile.tags))
    for signature, tag in profile.tags.items():
        data = tag.pack()
        if data not in places:
            places[data] = start + len(body)
            body += data + bytes(-len(data) % 4)
        table += signature.encode("latin-1") + struct.pack(">II", places[data], len(data))
    size = start + len(body)
    unsigned = profile.header.pack(size) + table + body
    return profile.header.pack(size, profile_id(unsigned)) + table + body


def parse_profile(data: bytes) -> IccProfile:
    """Parse the bytes of a profile. Raises TagError where they are cut, damaged or no profile."""
    header = Header.parse(data)
    (size,) = struct.unpack(">I", data[:4])
    if size > len(data):
        raise TagError(f"{len(data)} bytes where the header says {size}; the profile is cut")
    (count,) = struct.unpack(">I", data[SIZE : SIZE + 4].ljust(4, b"\0"))
    if not 0 < count <= 1000 or SIZE + 4 + 12 * count > len(data):
        raise TagError(f"a tag table of {count} tags; expected one that fits into the file; the profile is damaged")
    check_overlap(data, count)
    parsed: dict[tuple[int, int], Tag] = {}
    tags: dict[str, Tag] = {}
    for number in range(count):
        entry = data[SIZE + 4 + 12 * number : SIZE + 16 + 12 * number]
        name = entry[:4].decode("latin-1")
        offset, length = struct.unpack(">II", entry[4:])
        if offset + length > len(data) or offset < SIZE:
            raise TagError(f"tag {name}: bytes {offset} to {offset + length} lie outside the file; the profile is damaged")
        if name in tags:
            raise TagError(f"tag {name} stands twice in the tag table; the profile is damaged")
        if (offset, length) not in parsed:
            try:
                parsed[offset, length] = parse_tag(data[offset : offset + length])
            except TagError as error:
                raise TagError(f"tag {name}: {error}") from error
        tags[name] = parsed[offset, length]
    return IccProfile(header=header, tags=tags, profile_id=data[84:100])


def usable_profile(data: bytes) -> IccProfile:
    """Parse the bytes of a profile whose tables are to be used. Raises TagError as parse_profile, and for contradictions."""
    profile = parse_profile(data)
    check_channels(profile.header, profile.tags)
    return profile


def check_overlap(data: bytes, count: int) -> None:
    """Raise TagError where the entries of a tag table hold far more bytes than the file: they lie over one another."""
    spans = {struct.unpack_from(">II", data, SIZE + 8 + 12 * number) for number in range(count)}
    claimed = sum(length for _, length in spans)
    if claimed > _MOST_OVERLAP * len(data):
        raise TagError(f"tags that lie over one another: {claimed} bytes in a file of {len(data)}; the profile is damaged")


def is_profile(path: Path) -> bool:
    """Tell by its bytes whether a file is an ICC profile. What cannot be read is none: whoever reads it says what is wrong."""
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(40)[36:40] == b"acsp"
    except (OSError, ValueError):
        return False


def read_profile_bytes(path: Path) -> bytes:
    """Return the bytes of a profile file. Raises ProfileFileError where it cannot be read or is larger than any profile."""
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise ProfileFileError(path, "a device or pipe", "an ICC profile", "Save it to a file first.")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise ProfileFileError(path, f"{size} bytes", f"at most {LARGEST_BYTES}", "Is this a profile?")
        return path.read_bytes()
    except OSError as error:
        found = "no such file" if isinstance(error, FileNotFoundError) else error.strerror or str(error)
        if path.is_dir():
            found = "a folder"
        raise ProfileFileError(path, found, "an ICC profile", "Check the name and the folder.") from error
    except ValueError as error:  # a zero byte in the name
        raise ProfileFileError(path, "an impossible file name", "an ICC profile", "Check it.") from error


def read_profile(path: Path, parse: Callable[[bytes], IccProfile] = usable_profile) -> IccProfile:
    """Read and parse a profile file. Raises ProfileFileError, with the place and the fault, where that fails."""
    data = read_profile_bytes(path)
    try:
        return parse(data)
    except TagError as error:
        raise ProfileFileError(path, str(error), "an undamaged ICC profile", "Name a profile, or get it again.") from error
