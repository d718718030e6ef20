"""Tables of 8 bits. [ICC.1-2022] lut8Type, [ICC.1-2001] lut8Type."""

from dataclasses import dataclass
from typing import ClassVar

from spectro.icc.tag_types.lut16 import PlainLut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lut8(PlainLut):
    """Input tables (inputs, 256), lattice (grid, …, outputs), output tables (outputs, 256), all 0 to 255."""

    SIGNATURE: ClassVar[bytes] = b"mft1"
    STORED: ClassVar[str] = "u1"
    HEAD: ClassVar[int] = 40
