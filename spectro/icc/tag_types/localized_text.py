"""Text in several languages. [ICC.1-2022] multiLocalizedUnicodeType."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class LocalizedText:
    """Texts by language and country. A tag that was read keeps its own bytes, so that it comes back unchanged."""

    SIGNATURE: ClassVar[bytes] = b"mluc"
    texts: tuple[tuple[str, str], ...]  # ("enUS", text)
    packed: bytes | None = None

    @property
    def text(self) -> str:
        """The English text, else the first one, else an empty one."""
        for language, text in self.texts:
            if language.startswith("en"):
                return text
        return self.texts[0][1] if self.texts else ""

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 8:
            raise TagError("mluc: cut before its records; the profile is damaged")
        count, size = struct.unpack(">II", body[:8])
        if size < 12 or count > (len(body) - 8) // max(size, 1):
            raise TagError(f"mluc: {count} records of {size} bytes; expected 12 bytes each, within the tag")
        texts = []
        for number in range(count):
            start = 8 + number * size
            language = body[start : start + 4].decode("latin-1")
            length, offset = struct.unpack(">II", body[start + 4 : start + 12])
            if length % 2 or offset + length > len(data):
                raise TagError(f"mluc: a text of {length} bytes at {offset} lies outside the tag; the profile is damaged")
            texts.append((language, data[offset : offset + length].decode("utf-16-be", errors="replace")))
        return cls(tuple(texts), data)

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        if self.packed is not None:
            return self.packed
        head = self.SIGNATURE + bytes(4) + struct.pack(">II", len(self.texts), 12)
        offset = len(head) + 12 * len(self.texts)
        records, strings = b"", b""
        for language, text in self.texts:
            encoded = text.encode("utf-16-be")
            records += language.encode("ascii") + struct.pack(">II", len(encoded), offset + len(strings))
            strings += encoded
        return head + records + strings
