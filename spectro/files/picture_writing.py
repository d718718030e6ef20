"""Converted pictures written: a TIFF band by band from several threads, PNG from top to bottom, JPEG as a whole.

A TIFF is written least byte first, its strips before its directory, so that a band can be written as soon as it is there;
above 4 GB in the 64-bit form. References: [TIFF-6.0] baseline RGB, CMYK Images, Differencing Predictor, LZW.
"""

import struct
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import numpy as np

from spectro.errors import OutputFileError
from spectro.files.picture_tags import PROFILE, with_tags
from spectro.files.tiff_directory import UNDEFINED, Directory, TagValue, longs, pack_directory, shorts
from spectro.records.arrays import AnyArray

NONE, LZW, DEFLATE = 1, 5, 8
_KEPT = {NONE: NONE, LZW: LZW, DEFLATE: DEFLATE, 32946: DEFLATE}
_STRIP_BYTES = 1 << 18
_MOST_ROWS = 1024  # of a strip, kept from the source
_LARGEST_SMALL = 2**32 - 2**25  # bytes of pixels, beyond which offsets need 64 bits
_PHOTOMETRIC = {"grey": 1, "rgb": 2}
_SEPARATED, _TRANSPARENT = 5, 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WrittenPicture:
    """What is to be written: the pixels' shape and all that the picture says of itself."""

    width: int
    height: int
    bits: int  # 8 or 16
    space: str  # "grey", "rgb" or "cmyk"
    channels: int  # of colour
    alpha: bool
    tags: Directory
    profile: bytes = b""  # none: untagged
    compression: int = NONE
    rows_a_strip: int = 0  # 0: as is usual
    texts: tuple[tuple[bytes, bytes], ...] = ()  # chunks of a PNG

    @property
    def row_bytes(self) -> int:
        """Bytes of one row."""
        return self.width * (self.channels + self.alpha) * self.bits // 8


class PictureWriter(Protocol):
    """Takes bands of rows in any order, from any thread, and makes a file of them."""

    def write(self, start: int, rows: AnyArray) -> None:
        """Take rows (n, width, channels) from a row on, which is a multiple of `rows_together`."""

    def finish(self) -> None:
        """End the file."""

    @property
    def rows_together(self) -> int:
        """Bands begin at multiples of this."""


def kept_compression(compression: int) -> int:
    """Return how a TIFF is to be compressed whose source has a compression: the same where it loses nothing, else by LZW."""
    return _KEPT.get(compression, LZW)


def strip_rows(together: int) -> int:
    """Return how many rows a strip is to have where so many of the source belong together; 0: as is usual."""
    return together if 1 < together <= _MOST_ROWS else 0


class TiffWriter:
    """Writes a TIFF into an empty file."""

    def __init__(self, place: Path, picture: WrittenPicture) -> None:
        self.place, self.picture = place, picture
        self.big = picture.row_bytes * picture.height > _LARGEST_SMALL
        self.rows_together = picture.rows_a_strip or max(1, min(_STRIP_BYTES // picture.row_bytes, picture.height))
        self._first = 16 if self.big else 8
        strips = -(-picture.height // self.rows_together)
        size = self.rows_together * picture.row_bytes
        self._offsets = [self._first + number * size for number in range(strips)]
        self._sizes = [size] * (strips - 1) + [picture.height * picture.row_bytes - size * (strips - 1)]
        self._end = self._first if picture.compression != NONE else self._first + picture.height * picture.row_bytes
        self._lock = threading.Lock()

    def write(self, start: int, rows: AnyArray) -> None:
        """Take rows from a row on."""
        rows = np.ascontiguousarray(rows)
        if self.picture.compression == NONE:
            self._put(self._first + start * self.picture.row_bytes, rows.reshape(-1).view(np.uint8).data)
            return
        for offset in range(0, len(rows), self.rows_together):
            packed = _packed(rows[offset : offset + self.rows_together], self.picture.compression)
            number = (start + offset) // self.rows_together
            with self._lock:
                where, self._end = self._end, self._end + len(packed) + len(packed) % 2
                if self._end > 2**32 - 2**25 and not self.big:
                    raise OutputFileError(self.place, "a compressed picture of more than 4 GB")
                self._offsets[number], self._sizes[number] = where, len(packed)
            self._put(where, memoryview(packed))

    def _put(self, where: int, data: memoryview) -> None:
        with self.place.open("r+b", buffering=0) as file:
            file.seek(where)
            while len(data):
                data = data[file.write(data) :]

    def finish(self) -> None:
        """Write the directory and the header that leads to it."""
        end = self._end + self._end % 2
        self._put(end, memoryview(pack_directory(self._directory(), end, big=self.big)))
        header = struct.pack("<2sHHHQ", b"II", 43, 8, 0, end) if self.big else struct.pack("<2sHI", b"II", 42, end)
        self._put(0, memoryview(header))

    def _directory(self) -> Directory:
        picture = self.picture
        samples = picture.channels + picture.alpha
        tags = {
            256: longs((picture.width,)),
            257: longs((picture.height,)),
            258: shorts(*(picture.bits,) * samples),
            259: shorts(picture.compression),
            262: shorts(_PHOTOMETRIC.get(picture.space, _SEPARATED)),
            273: longs(tuple(self._offsets), big=self.big),
            277: shorts(samples),
            278: longs((self.rows_together,)),
            279: longs(tuple(self._sizes), big=self.big),
            284: shorts(1),
            339: shorts(*(1,) * samples),
        }
        if picture.compression != NONE:
            tags[317] = shorts(2)
        if picture.alpha:
            tags[338] = shorts(_TRANSPARENT)
        if picture.profile:
            tags[PROFILE] = TagValue(UNDEFINED, len(picture.profile), picture.profile)
        return with_tags(picture.tags, tags)


def _packed(rows: AnyArray, compression: int) -> bytes:
    import imagecodecs

    differences = imagecodecs.delta_encode(rows, axis=-2).tobytes()
    packed = imagecodecs.lzw_encode(differences) if compression == LZW else imagecodecs.zlib_encode(differences, level=4)
    return bytes(packed)


def packed_tiff(pixels: AnyArray, profile: bytes) -> bytes:
    """Return a small picture (rows, columns, 3), uint8, as the bytes of a TIFF."""
    import io

    import tifffile

    file = io.BytesIO()
    tifffile.imwrite(file, pixels, photometric="rgb", iccprofile=profile, metadata=None)
    return file.getvalue()


class PngWriter:
    """Writes a PNG from top to bottom; bands that come too early wait."""

    rows_together = 1

    def __init__(self, place: Path, picture: WrittenPicture) -> None:
        from spectro.files.png_file import PngRows

        shape = (picture.height, picture.width, picture.channels + picture.alpha)
        self._rows = PngRows(place, shape, picture.bits)
        self._rows.begin(picture.tags, picture.profile, picture.texts)
        self._waiting: dict[int, AnyArray] = {}
        self._next = 0
        self._lock = threading.Lock()

    def write(self, start: int, rows: AnyArray) -> None:
        """Take rows from a row on."""
        with self._lock:
            if start != self._next:
                self._waiting[start] = rows.copy()
                return
            self._add(rows)
            while self._next in self._waiting:
                self._add(self._waiting.pop(self._next))

    def _add(self, rows: AnyArray) -> None:
        self._rows.add(rows)
        self._next += len(rows)

    def finish(self) -> None:
        """End the file."""
        self._rows.finish()


class WholeWriter:
    """Gathers the rows of a JPEG and writes it at the end: the library takes it whole."""

    rows_together = 1

    def __init__(self, place: Path, picture: WrittenPicture) -> None:
        self.place, self.picture = place, picture
        shape = (picture.height, picture.width, picture.channels + picture.alpha)
        self._pixels: AnyArray = np.empty(shape, np.uint16 if picture.bits == 16 else np.uint8)

    def write(self, start: int, rows: AnyArray) -> None:
        """Take rows from a row on."""
        self._pixels[start : start + len(rows)] = rows

    def finish(self) -> None:
        """Encode and write."""
        from spectro.files.jpeg_file import pack_jpeg

        self.place.write_bytes(pack_jpeg(self._pixels, self.picture.tags, self.picture.profile))


def bands(height: int, wanted: int, together: Sequence[int]) -> list[tuple[int, int]]:
    """Return rows from, to of bands of about a wanted height, at multiples of all numbers of rows that belong together.

    >>> bands(100, 30, (8, 1)), bands(10, 3, (1, 1))
    ([(0, 32), (32, 64), (64, 96), (96, 100)], [(0, 3), (3, 6), (6, 9), (9, 10)])
    """
    step = int(np.lcm.reduce(together))
    rows = min(height, max(1, -(-wanted // step)) * step)
    return [(start, min(start + rows, height)) for start in range(0, height, rows)]
