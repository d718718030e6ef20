"""Tables of 16 bits. [ICC.1-2022] lut16Type, [ICC.1-2001] lut16Type."""

import struct
from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np

from spectro.errors import TagError
from spectro.icc.numbers import parse_s15fixed16, s15fixed16
from spectro.icc.tag_types.body import body_after_signature
from spectro.records.arrays import AnyArray

IDENTITY = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlainLut:
    """A lattice between input and output tables of whole numbers; how wide they are stored is the tag type's."""

    SIGNATURE: ClassVar[bytes]
    STORED: ClassVar[str]  # numpy's word for a number in the file
    HEAD: ClassVar[int]  # bytes behind the signature before the tables
    matrix: tuple[float, ...] = IDENTITY  # used for an XYZ PCS on the input side only
    input_tables: AnyArray
    lattice: AnyArray
    output_tables: AnyArray

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the bytes of a tag. Bytes behind the tables, up to three, are padding."""
        name, stored = cls.SIGNATURE.decode("ascii"), np.dtype(cls.STORED)
        body = body_after_signature(data, cls.SIGNATURE)
        if len(body) < cls.HEAD:
            raise TagError(f"{name}: cut before its tables; the profile is damaged")
        inputs, outputs, grid = body[0], body[1], body[2]
        entries_in, entries_out = struct.unpack(">HH", body[40:44]) if cls.HEAD > 40 else (256, 256)
        check_lut_shape(name, inputs, outputs, grid, entries_in, entries_out)
        sizes = (inputs * entries_in, grid**inputs * outputs, outputs * entries_out)
        whole = cls.HEAD + stored.itemsize * sum(sizes)
        if len(body) < whole:
            raise TagError(f"{name}: {len(body)} bytes; expected {whole}; the profile is cut or damaged")
        matrix = tuple(parse_s15fixed16(body[4 + 4 * i : 8 + 4 * i]) for i in range(9))
        numbers = np.frombuffer(body, dtype=stored, count=sum(sizes), offset=cls.HEAD).astype(stored.newbyteorder("="))
        first, second, third = np.split(numbers, np.cumsum(sizes)[:2])
        return cls(
            matrix=matrix,
            input_tables=first.reshape(inputs, entries_in),
            lattice=second.reshape(*[grid] * inputs, outputs),
            output_tables=third.reshape(outputs, entries_out),
        )

    def pack(self) -> bytes:
        """Return the bytes of the tag."""
        inputs, outputs, grid = self.lattice.ndim - 1, self.lattice.shape[-1], self.lattice.shape[0]
        head = self.SIGNATURE + bytes(4) + bytes([inputs, outputs, grid, 0]) + b"".join(map(s15fixed16, self.matrix))
        if self.HEAD > 40:
            head += struct.pack(">HH", self.input_tables.shape[1], self.output_tables.shape[1])
        tables = (self.input_tables, self.lattice, self.output_tables)
        return head + b"".join(np.asarray(table).astype(self.STORED).tobytes() for table in tables)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lut16(PlainLut):
    """Input tables (inputs, entries), lattice (grid, …, outputs), output tables (outputs, entries), all 0 to 65535."""

    SIGNATURE: ClassVar[bytes] = b"mft2"
    STORED: ClassVar[str] = ">u2"
    HEAD: ClassVar[int] = 44  # with how many entries the tables have


def check_lut_shape(name: str, inputs: int, outputs: int, grid: int, entries_in: int, entries_out: int) -> None:
    """Raise TagError where the sizes that a table states are not possible, before anything of that size is made."""
    if not 1 <= inputs <= 15 or not 1 <= outputs <= 15 or grid < 2:
        raise TagError(f"{name}: {inputs} inputs, {outputs} outputs, {grid} nodes; expected 1 to 15, 1 to 15, 2 or more")
    if not 2 <= entries_in <= 4096 or not 2 <= entries_out <= 4096:
        raise TagError(f"{name}: tables of {entries_in} and {entries_out} entries; expected 2 to 4096")
    if grid**inputs * outputs > 2**27:
        raise TagError(f"{name}: a lattice of {grid}^{inputs} nodes; expected one that fits into a file")
