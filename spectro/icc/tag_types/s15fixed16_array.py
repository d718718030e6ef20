"""Signed fixed-point numbers. [ICC.1-2022] s15Fixed16ArrayType."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.numbers import s15fixed16
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class S15Fixed16Array:
    """Signed 15.16 fixed-point numbers. Range -32768 to 32767 + 65535/65536."""

    SIGNATURE: ClassVar[bytes] = b"sf32"
    values: tuple[float, ...]

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) % 4:
            raise TagError(f"sf32: body is {len(body)} bytes; expected a multiple of 4; the profile is cut or damaged")
        return cls(tuple(n / 65536 for (n,) in struct.iter_unpack(">i", body)))

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        return self.SIGNATURE + bytes(4) + b"".join(s15fixed16(v) for v in self.values)
