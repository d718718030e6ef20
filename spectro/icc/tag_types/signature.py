"""A four-byte signature. [ICC.1-2022] signatureType."""

from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class SignatureTag:
    """Four bytes that name something, such as a technology."""

    SIGNATURE: ClassVar[bytes] = b"sig "
    value: bytes

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) != 4:
            raise TagError(f"sig: body is {len(body)} bytes; expected 4; the profile is cut or damaged")
        return cls(body)

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        return self.SIGNATURE + bytes(4) + self.value
