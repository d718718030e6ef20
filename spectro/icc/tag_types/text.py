"""Plain text. [ICC.1-2022] textType."""

from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class Text:
    """7-bit text up to its closing zero byte. Bytes above 127, which the standard forbids, are kept."""

    SIGNATURE: ClassVar[bytes] = b"text"
    text: str
    after: bytes = b"\0"  # the closing zero and whatever a writer left behind it

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        text, zero, rest = body.partition(b"\0")
        return cls(text.decode("latin-1"), zero + rest)

    def pack(self) -> bytes:
        """Return the bytes of the tag. Raises TagError for characters beyond Latin-1."""
        try:
            return self.SIGNATURE + bytes(4) + self.text.encode("latin-1") + self.after
        except UnicodeEncodeError as error:
            raise TagError(f"text: {self.text[error.start]!r} cannot be written; expected plain ASCII") from error
