"""The profile description of version 2. [ICC.1-2001] textDescriptionType."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class TextDescription:
    """ASCII description; what follows it (Unicode and script code parts) is kept as bytes, empty parts by default."""

    SIGNATURE: ClassVar[bytes] = b"desc"
    text: str
    after: bytes = bytes(4 + 4 + 2 + 1 + 67)

    @classmethod
    def with_unicode(cls, text: str, full: str) -> Self:
        """Return a description whose Unicode part holds the full text, and its ASCII part what fits."""
        units = full.encode("utf-16-be") + b"\0\0"
        return cls(text, bytes(4) + struct.pack(">I", len(units) // 2) + units + bytes(2 + 1 + 67))

    @property
    def full(self) -> str:
        """The text of the Unicode part where there is a readable one, else of the ASCII part."""
        if len(self.after) < 8:
            return self.text
        (count,) = struct.unpack(">I", self.after[4:8])
        units = self.after[8 : 8 + 2 * count]
        if not count or len(units) < 2 * count:
            return self.text
        return units.decode("utf-16-be", "replace").rstrip("\0").removeprefix("\ufeff") or self.text

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 4:
            raise TagError("desc: cut before its count; the profile is damaged")
        (count,) = struct.unpack(">I", body[:4])
        if count < 1 or 4 + count > len(body) or body[3 + count]:
            raise TagError(f"desc: count {count}; expected the length of a text that ends in zero; the profile is damaged")
        return cls(body[4 : 3 + count].decode("latin-1"), body[4 + count :])

    def pack(self) -> bytes:
        """Return the bytes of the tag. Raises TagError for characters beyond Latin-1."""
        try:
            text = self.text.encode("latin-1") + b"\0"
        except UnicodeEncodeError as error:
            raise TagError(f"desc: {self.text[error.start]!r} cannot be written; expected plain ASCII") from error
        return self.SIGNATURE + bytes(4) + struct.pack(">I", len(text)) + text + self.after
