"""Tristimulus values. [ICC.1-2022] XYZType."""

from dataclasses import dataclass
from typing import ClassVar, Self

from spectro.errors import TagError
from spectro.icc.numbers import parse_s15fixed16, s15fixed16
from spectro.icc.tag_types.body import body_after_signature


@dataclass(frozen=True, slots=True)
class XyzNumbers:
    """Triples of XYZ, Y = 1 for the perfect diffuser."""

    SIGNATURE: ClassVar[bytes] = b"XYZ "
    values: tuple[tuple[float, float, float], ...]

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag."""
        body = body_after_signature(data, cls.SIGNATURE)
        if not body or len(body) % 12:
            raise TagError(f"XYZ: body is {len(body)} bytes; expected a multiple of 12; the profile is cut or damaged")
        numbers = [parse_s15fixed16(body[start : start + 4]) for start in range(0, len(body), 4)]
        return cls(tuple((numbers[i], numbers[i + 1], numbers[i + 2]) for i in range(0, len(numbers), 3)))

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        return self.SIGNATURE + bytes(4) + b"".join(s15fixed16(v) for triple in self.values for v in triple)
