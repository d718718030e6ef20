"""Names and colours of colorants. [ICC.1-2022] colorantTableType, for profiles of more than four channels required."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature

_ROW = 38  # bytes: a name of 32, then three numbers of 16 bits
_NAME = 32


@dataclass(frozen=True, slots=True)
class ColorantTable:
    """One row a colorant, in the order of the channels: its name in ASCII, and its colour in the PCS encoding of 16 bits."""

    SIGNATURE: ClassVar[bytes] = b"clrt"
    names: tuple[str, ...]
    pcs: tuple[tuple[int, int, int], ...]
    packed: bytes = b""  # of a tag that was read, so that it comes back unchanged

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 4:
            raise TagError("clrt: cut before its count; the profile is damaged")
        count = int.from_bytes(body[:4], "big")
        if not 1 <= count <= 15 or len(body) < 4 + _ROW * count:
            raise TagError(f"clrt: {count} colorants in {len(body)} bytes; expected 1 to 15, each of {_ROW} bytes")
        rows = [body[4 + _ROW * row : 4 + _ROW * (row + 1)] for row in range(count)]
        names = tuple(row[:_NAME].split(b"\0")[0].decode("latin-1") for row in rows)
        pcs = tuple(struct.unpack(">3H", row[_NAME:]) for row in rows)
        return cls(names, tuple((first, second, third) for first, second, third in pcs), data)

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        if self.packed:
            return self.packed
        rows = b"".join(
            name.encode("ascii", "replace")[: _NAME - 1].ljust(_NAME, b"\0") + struct.pack(">3H", *values)
            for name, values in zip(self.names, self.pcs, strict=True)
        )
        return self.SIGNATURE + bytes(4) + len(self.names).to_bytes(4, "big") + rows
