"""ICC number encodings: fixed point, dates, and Lab in 16 bits.

References: [ICC.1-2022] basic number types and PCS encodings; [ICC.1-2001] the older 16-bit Lab encoding, which lut16Type
keeps in every version.
"""

import struct
from datetime import UTC, datetime

import numpy as np

from spectro.errors import TagError
from spectro.records.arrays import FloatArray, frozen_floats

D50_BYTES = bytes.fromhex("0000F6D6000100000000D32D")
D50_XYZ = frozen_floats([0xF6D6 / 65536, 1.0, 0xD32D / 65536])
"""The PCS illuminant as s15Fixed16 numbers hold it, Y = 1."""


def s15fixed16(value: float) -> bytes:
    """Pack a number as s15Fixed16. Raises TagError outside -32768 to 32767 + 65535/65536."""
    number = round(value * 65536)
    if not -(2**31) <= number < 2**31:
        raise TagError(f"{value} does not fit into s15Fixed16 (-32768 to 32768)")
    return struct.pack(">i", number)


def parse_s15fixed16(data: bytes) -> float:
    """Return the number of four bytes of s15Fixed16."""
    number: int = struct.unpack(">i", data)[0]
    return number / 65536


def pack_date(date: datetime) -> bytes:
    """Pack a date as dateTimeNumber, in UTC."""
    if date.tzinfo is not None:
        date = date.astimezone(UTC)
    return struct.pack(">6H", date.year, date.month, date.day, date.hour, date.minute, date.second)


def parse_date(data: bytes) -> datetime | None:
    """Return the date of a dateTimeNumber, or None where the numbers are no date."""
    try:
        year, month, day, hour, minute, second = struct.unpack(">6H", data)
        return datetime(year, month, day, hour, minute, second, tzinfo=UTC)
    except ValueError:
        return None


def encode_lab(lab: FloatArray, *, legacy: bool) -> FloatArray:
    """Return Lab (..., 3) as fractions (..., 3) of the 16-bit range, not clipped.

    legacy: the encoding of lut16Type and of version 2 (L* 100 is FF00h); else that of version 4 (L* 100 is FFFFh).
    """
    lab = np.asarray(lab, dtype=np.float64)
    shifted = np.stack([lab[..., 0], lab[..., 1] + 128, lab[..., 2] + 128], axis=-1)
    factors = np.array([652.8, 256, 256] if legacy else [655.35, 257, 257])
    encoded: FloatArray = shifted * factors / 65535
    return encoded


def decode_lab(fractions: FloatArray, *, legacy: bool) -> FloatArray:
    """Return Lab (..., 3) of fractions (..., 3) of the 16-bit range; the inverse of `encode_lab`."""
    factors = np.array([652.8, 256, 256] if legacy else [655.35, 257, 257])
    lab: FloatArray = np.asarray(fractions, dtype=np.float64) * 65535 / factors - np.array([0.0, 128.0, 128.0])
    return lab


def encode_xyz(xyz: FloatArray) -> FloatArray:
    """Return XYZ (..., 3), Y = 1, as fractions of the 16-bit range of u1Fixed15 (1 + 32767/32768 is FFFFh)."""
    encoded: FloatArray = np.asarray(xyz, dtype=np.float64) * 32768 / 65535
    return encoded


def decode_xyz(fractions: FloatArray) -> FloatArray:
    """Return XYZ (..., 3), Y = 1, of fractions of the 16-bit range of u1Fixed15."""
    xyz: FloatArray = np.asarray(fractions, dtype=np.float64) * 65535 / 32768
    return xyz
