"""The 128 bytes at the start of a profile. [ICC.1-2022] profile header."""

import struct
from dataclasses import dataclass
from datetime import datetime
from typing import Self

from spectro.errors import TagError
from spectro.icc.numbers import D50_BYTES, pack_date, parse_date

SIZE = 128


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """What the header says. Size and profile ID belong to the bytes and are computed when a profile is packed."""

    version: tuple[int, int]  # (2, 4) or (4, 4)
    device_class: bytes  # b"prtr"
    colour_space: bytes  # b"RGB "
    pcs: bytes  # b"Lab " or b"XYZ "
    date: datetime | None
    intent: int = 0
    cmm: bytes = bytes(4)
    platform: bytes = bytes(4)
    flags: bytes = bytes(4)
    manufacturer: bytes = bytes(4)
    model: bytes = bytes(4)
    attributes: bytes = bytes(8)
    illuminant: bytes = D50_BYTES
    creator: bytes = bytes(4)

    @classmethod
    def parse(cls, data: bytes) -> Self:
        """Parse the first 128 bytes of a profile. Raises TagError where they are no profile header."""
        if len(data) < SIZE:
            raise TagError(f"a file of {len(data)} bytes, not the 128 bytes and more of a profile")
        if data[36:40] != b"acsp":
            raise TagError("no mark of an ICC profile ('acsp' at byte 36): another kind of file, or a damaged one")
        return cls(
            cmm=data[4:8],
            version=(data[8], data[9] >> 4),
            device_class=data[12:16],
            colour_space=data[16:20],
            pcs=data[20:24],
            date=parse_date(data[24:36]),
            platform=data[40:44],
            flags=data[44:48],
            manufacturer=data[48:52],
            model=data[52:56],
            attributes=data[56:64],
            intent=struct.unpack(">I", data[64:68])[0],
            illuminant=data[68:80],
            creator=data[80:84],
        )

    def pack(self, size: int, profile_id: bytes = bytes(16)) -> bytes:
        """Return the 128 bytes, for a profile of size bytes."""
        version = bytes([self.version[0], self.version[1] << 4, 0, 0])
        date = bytes(12) if self.date is None else pack_date(self.date)
        return b"".join(
            (
                struct.pack(">I", size),
                self.cmm,
                version,
                self.device_class,
                self.colour_space,
                self.pcs,
                date,
                b"acsp",
                self.platform,
                self.flags,
                self.manufacturer,
                self.model,
                self.attributes,
                struct.pack(">I", self.intent),
                self.illuminant,
                self.creator,
                profile_id,
                bytes(28),
            )
        )
