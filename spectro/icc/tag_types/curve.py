"""A curve as a table. [ICC.1-2022] curveType."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from spectro.errors import TagError
from spectro.icc.tag_types.body import body_after_signature
from spectro.records.arrays import FloatArray

MOST_ENTRIES = 2**20
"""Ours: sixteen times what 16-bit numbers can tell apart."""


@dataclass(frozen=True, slots=True)
class Curve:
    """16-bit entries at even steps from 0 to 1; none: identity; one: an exponent as u8Fixed8."""

    SIGNATURE: ClassVar[bytes] = b"curv"
    entries: tuple[int, ...]

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        curve, size = cls.parse_prefix(data)
        if size != len(data):
            raise TagError(f"curv: {len(data)} bytes; expected {size} for its count; the profile is damaged")
        return curve

    @classmethod
    def parse_prefix(cls, data: bytes) -> tuple[Self, int]:
        """Parse a curve at the start of data; return it and the number of bytes it takes."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 4:
            raise TagError("curv: cut before its count; the profile is damaged")
        (count,) = struct.unpack(">I", body[:4])
        if count > MOST_ENTRIES:
            raise TagError(f"curv: {count} entries; expected at most {MOST_ENTRIES}; the profile is damaged")
        if len(body) < 4 + 2 * count:
            raise TagError(f"curv: {count} entries in {len(body) - 4} bytes; the profile is cut or damaged")
        return cls(struct.unpack(f">{count}H", body[4 : 4 + 2 * count])), 12 + 2 * count

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        count = len(self.entries)
        return self.SIGNATURE + bytes(4) + struct.pack(f">I{count}H", count, *self.entries)

    def apply(self, values: FloatArray) -> FloatArray:
        """Return the curve's value at values (any shape), clipped to 0 to 1."""
        inside = np.clip(values, 0, 1)
        if not self.entries:
            return inside
        if len(self.entries) == 1:
            power: FloatArray = inside ** (self.entries[0] / 256)
            return power
        steps = np.linspace(0, 1, len(self.entries))
        return np.interp(inside, steps, np.array(self.entries) / 65535)
