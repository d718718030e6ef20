"""Which profiles a device link was made from. [ICC.1-2022] profileSequenceDescType; [ICC.1-2001] the same of version 2.

Each profile has its manufacturer, model, attributes and technology, and two texts: what the maker and the model are called.
The texts are whole structures of the types that descriptions have in the profile's version.
"""

import struct
from dataclasses import dataclass, field
from typing import ClassVar, Self, TypeAlias

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature
from spectro.icc.tag_types.localized_text import LocalizedText
from spectro.icc.tag_types.text_description import TextDescription

SequenceText: TypeAlias = TextDescription | LocalizedText
_HEAD = 20
_SCRIPT = 2 + 1 + 67  # bytes of the script code part of a description of version 2
_MOST = 255  # profiles; ours


@dataclass(frozen=True, slots=True, kw_only=True)
class SequencePart:
    """One profile of the sequence."""

    manufacturer: bytes = bytes(4)
    model: bytes = bytes(4)
    attributes: bytes = bytes(8)
    technology: bytes = bytes(4)
    maker: SequenceText
    name: SequenceText


@dataclass(frozen=True, slots=True)
class ProfileSequence:
    """The profiles, first to last. A tag that was read keeps its own bytes, so that it comes back unchanged."""

    SIGNATURE: ClassVar[bytes] = b"pseq"
    parts: tuple[SequencePart, ...]
    packed: bytes | None = field(default=None, compare=False)

    @property
    def names(self) -> tuple[str, ...]:
        """What the profiles are called, "" for those that say nothing."""
        return tuple(part.name.full if isinstance(part.name, TextDescription) else part.name.text for part in self.parts)

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        (count,) = struct.unpack(">I", body[:4].ljust(4, b"\xff"))
        if count > _MOST:
            raise TagError(f"pseq: {count} profiles; expected at most {_MOST}; the profile is cut or damaged")
        parts, place = [], 4
        for _ in range(count):
            head = body[place : place + _HEAD]
            if len(head) < _HEAD:
                raise TagError(f"pseq: cut within the first of {count} profiles or a later one; the profile is damaged")
            maker, place = _text(body, place + _HEAD)
            name, place = _text(body, place)
            parts.append(
                SequencePart(
                    manufacturer=head[:4],
                    model=head[4:8],
                    attributes=head[8:16],
                    technology=head[16:],
                    maker=maker,
                    name=name,
                )
            )
        return cls(tuple(parts), data)

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        if self.packed is not None:
            return self.packed
        rows = b"".join(
            part.manufacturer + part.model + part.attributes + part.technology + part.maker.pack() + part.name.pack()
            for part in self.parts
        )
        return self.SIGNATURE + bytes(4) + struct.pack(">I", len(self.parts)) + rows


def _text(body: bytes, place: int) -> tuple[SequenceText, int]:
    """Return the text at a place and where the next part begins; some writers fill up to a multiple of four."""
    while body[place : place + 1] == b"\0" and place % 4:
        place += 1
    kind, rest = body[place : place + 4], body[place:]
    if kind == TextDescription.SIGNATURE:
        size = _description_size(rest)
        return TextDescription.parse(rest[:size]), place + size
    if kind == LocalizedText.SIGNATURE:
        size = _localized_size(rest)
        return LocalizedText.parse(rest[:size]), place + size
    raise TagError(f"pseq: {kind!r} where a text should begin; the profile is damaged")


def _description_size(rest: bytes) -> int:
    (letters,) = struct.unpack(">I", rest[8:12].ljust(4, b"\0"))
    start = 12 + letters + 4
    (units,) = struct.unpack(">I", rest[start : start + 4].ljust(4, b"\0"))
    size: int = start + 4 + 2 * units + _SCRIPT
    if size > len(rest):
        raise TagError(f"pseq: a text of {size} bytes where {len(rest)} are left; the profile is cut or damaged")
    return size


def _localized_size(rest: bytes) -> int:
    """Return how many bytes a text of version 4 takes: up to the end of the last of its strings."""
    count, width = struct.unpack(">II", rest[8:16].ljust(8, b"\xff"))
    if width < 12 or count > (len(rest) - 16) // width:
        raise TagError(f"pseq: a text of {count} records; expected those that fit; the profile is cut or damaged")
    ends = [16 + width * count]
    for number in range(count):
        length, offset = struct.unpack(">II", rest[16 + width * number + 4 : 16 + width * number + 12])
        ends.append(offset + length)
    size: int = min(max(ends), len(rest))
    return size
