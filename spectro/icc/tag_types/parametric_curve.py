"""A curve as a formula. [ICC.1-2022] parametricCurveType."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from spectro.errors import TagError
from spectro.icc.numbers import parse_s15fixed16, s15fixed16
from spectro.icc.tag_types.body import body_after_signature
from spectro.records.arrays import FloatArray

_COUNTS = {0: 1, 1: 3, 2: 4, 3: 5, 4: 7}


@dataclass(frozen=True, slots=True)
class ParametricCurve:
    """Function type 0 to 4 with its parameters g, a, b, c, d, e, f."""

    SIGNATURE: ClassVar[bytes] = b"para"
    function: int
    parameters: tuple[float, ...]

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        return cls.parse_prefix(data)[0]

    @classmethod
    def parse_prefix(cls, data: bytes) -> tuple[Self, int]:
        """Parse a curve at the start of data; return it and the number of bytes it takes."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 4:
            raise TagError("para: cut before its function type; the profile is damaged")
        function, _ = struct.unpack(">HH", body[:4])
        count = _COUNTS.get(function)
        if count is None or len(body) < 4 + 4 * count:
            raise TagError(f"para: function type {function} with {len(body) - 4} bytes of parameters; expected type 0 to 4")
        return cls(function, tuple(parse_s15fixed16(body[4 + 4 * i : 8 + 4 * i]) for i in range(count))), 12 + 4 * count

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        numbers = b"".join(s15fixed16(value) for value in self.parameters)
        return self.SIGNATURE + bytes(4) + struct.pack(">HH", self.function, 0) + numbers

    def apply(self, values: FloatArray) -> FloatArray:
        """Return the curve's value at values (any shape), clipped to 0 to 1."""
        g, a, b, c, d, e, f = self._full()
        inside = np.clip(values, 0, 1)
        above = np.maximum(a * inside + b, 0.0) ** g + e
        values = np.where(inside >= d, above, c * inside + f)
        return np.clip(values, 0, 1)

    def _full(self) -> tuple[float, ...]:
        """Return g, a, b, c, d, e, f with what the function type leaves out filled in."""
        p = self.parameters
        if self.function == 0:
            return (p[0], 1.0, 0.0, 0.0, -np.inf, 0.0, 0.0)
        if self.function in (1, 2):
            offset = p[3] if self.function == 2 else 0.0
            return (p[0], p[1], p[2], 0.0, -p[2] / p[1] if p[1] else -np.inf, offset, offset)
        return (*p, 0.0, 0.0) if self.function == 3 else p
