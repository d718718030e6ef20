"""Tables of 8 bits. [ICC.1-2022] lut8Type, [ICC.1-2001] lut8Type."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from spectro.errors import TagError
from spectro.icc.numbers import parse_s15fixed16, s15fixed16
from spectro.icc.tag_types.body import body_after_signature
from spectro.icc.tag_types.lut16 import IDENTITY, check_lut_shape
from spectro.records.arrays import AnyArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lut8:
    """Input tables (inputs, 256), lattice (grid, …, outputs), output tables (outputs, 256), all 0 to 255."""

    SIGNATURE: ClassVar[bytes] = b"mft1"
    matrix: tuple[float, ...] = IDENTITY
    input_tables: AnyArray
    lattice: AnyArray
    output_tables: AnyArray

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag. Bytes behind the tables, up to three, are padding."""
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < 40:
            raise TagError("mft1: cut before its tables; the profile is damaged")
        inputs, outputs, grid = body[0], body[1], body[2]
        check_lut_shape("mft1", inputs, outputs, grid, 256, 256)
        sizes = (inputs * 256, grid**inputs * outputs, outputs * 256)
        if len(body) < 40 + sum(sizes):
            raise TagError(f"mft1: {len(body)} bytes; expected {40 + sum(sizes)}; the profile is cut or damaged")
        matrix = tuple(parse_s15fixed16(body[4 + 4 * i : 8 + 4 * i]) for i in range(9))
        numbers = np.frombuffer(body, dtype=np.uint8, count=sum(sizes), offset=40)
        first, second, third = np.split(numbers, np.cumsum(sizes)[:2])
        return cls(
            matrix=matrix,
            input_tables=first.reshape(inputs, 256),
            lattice=second.reshape(*[grid] * inputs, outputs),
            output_tables=third.reshape(outputs, 256),
        )

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        inputs, outputs, grid = self.lattice.ndim - 1, self.lattice.shape[-1], self.lattice.shape[0]
        head = self.SIGNATURE + bytes(4) + bytes([inputs, outputs, grid, 0]) + b"".join(map(s15fixed16, self.matrix))
        tables = (self.input_tables, self.lattice, self.output_tables)
        return head + b"".join(np.asarray(table).astype(np.uint8).tobytes() for table in tables)
