"""Rows of a TIFF's pixels, read strip by strip or tile by tile from several threads at once. [TIFF-6.0]

What lies open in the file is read here, since nothing else is as fast; compressed and tiled pictures are decoded by a
general library, each strip or tile once.
"""

import io
import struct
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from spectro.errors import PictureFileError
from spectro.files.picture_file import FIX, LARGEST_PIXELS, SPACES, PictureFile, WholePicture, check_size, damaged
from spectro.files.picture_tags import PROFILE, kept_tags
from spectro.files.tiff_directory import Directory, read_directory, read_header
from spectro.records.arrays import AnyArray

_MOST_PAGES = 64
_REDUCED, _MASK = 1, 4
_WHITE_IS_ZERO, _BLACK_IS_ZERO, _RGB, _PALETTE, _SEPARATED, _LUMINANCE = 0, 1, 2, 3, 5, 6
_CIELAB, _ICCLAB = 8, 9
_SPACES = {_WHITE_IS_ZERO: "grey", _BLACK_IS_ZERO: "grey", _RGB: "rgb", _SEPARATED: "cmyk", _CIELAB: "lab", _ICCLAB: "lab"}
_WORDS = {10: "CIELAB of the kind for fax", 32803: "the raw mosaic of a camera", 34892: "linear raw data of a camera"}
_NONE, _LZW, _OLD_JPEG, _JPEG = 1, 5, 6, 7
_TO_RGB = (_PALETTE, _LUMINANCE)
_LARGEST_PART = 400 * 1024 * 1024  # bytes of one strip or tile once decoded
_SCALED, _DIFFERENCES = 1, 2
_SHORT, _LONG = 3, 4
_EIGHT, _WHITE_OF_16, _UNIT_OF_16, _ZERO_AB = 8, 65280.0, 256.0, 128.0


def open_tiff(path: Path) -> PictureFile:
    """Open the picture of a TIFF. Raises PictureFileError for damaged files, several pictures and other kinds."""
    try:
        with path.open("rb") as file:
            size = path.stat().st_size
            directory, number, notes = _main_picture(path, file, size)
            return _opened(path, directory, number, size, notes)
    except PictureFileError:
        raise
    except (ValueError, struct.error, OSError, RecursionError) as error:
        raise damaged(path, f"a damaged or cut TIFF ({error})") from error


def _main_picture(path: Path, file: Any, size: int) -> tuple[Directory, int, tuple[str, ...]]:
    """Return the directory of the one picture that a TIFF holds, its number, and what was left out."""
    order, offset = read_header(file)
    found: list[tuple[Directory, int]] = []
    places: set[int] = set()
    while offset and offset not in places and len(places) < _MOST_PAGES:
        number = len(places)
        places.add(offset)
        directory, offset = read_directory(file, order, offset, size)
        if not directory.integer(254) & (_REDUCED | _MASK):
            found.append((directory, number))
    if not found:
        raise PictureFileError(path, "a TIFF without a picture", "one picture", FIX)
    first, number = found[0]
    area = first.integer(256) * first.integer(257)
    if any(4 * one.integer(256) * one.integer(257) >= area for one, _ in found[1:]):
        raise PictureFileError(
            path, f"a TIFF with {len(found)} pictures", "a file for each picture", "Save its pages as pictures of their own."
        )
    return first, number, ("small further pictures in the file were left out",) if len(found) > 1 else ()


def _opened(path: Path, page: Directory, number: int, size: int, notes: tuple[str, ...]) -> PictureFile:
    width, height, samples = page.integer(256), page.integer(257), page.integer(277, 1)
    photometric, compression = page.integer(262, -1), page.integer(259, 1)
    space = "rgb" if photometric in _TO_RGB else _SPACES.get(photometric)
    if space is None:
        kind = _WORDS.get(photometric, f"colour kind {photometric}")
        raise PictureFileError(path, f"a TIFF in {kind}", "RGB, grey or CMYK", FIX)
    if width < 1 or height < 1 or width * height > LARGEST_PIXELS:
        raise PictureFileError(path, f"{width} × {height} pixels", f"1 to {LARGEST_PIXELS}", "Make it smaller.")
    bits = set(page.tags[258].integers()) if 258 in page.tags else {1}
    if len(bits) != 1 or not bits <= {8, 16} or page.integer(339, 1) != 1:
        said = "- and ".join(str(one) for one in sorted(bits)) or "no"
        float_said = "" if page.integer(339, 1) == 1 else " in signed or floating numbers"
        raise PictureFileError(path, f"{said}-bit channels{float_said}", "8 or 16 bits", FIX)
    depth = bits.pop()
    wanted = 1 if photometric == _PALETTE else SPACES[space]
    if photometric == _SEPARATED and (samples > wanted + 1 or page.integer(332, 1) != 1):
        raise PictureFileError(
            path, f"a picture of {samples} inks", "at most four, those of CMYK: the colour engine takes no more",
            "Convert from the picture in RGB or CMYK that it was made of.",
        )  # fmt: skip
    extra = samples - wanted
    if not 0 <= extra <= (0 if space == "lab" else 1):
        raise PictureFileError(
            path, f"{samples} channels", f"{wanted}" + ("" if space == "lab" else ", and one for transparency"), FIX
        )
    if extra and page.integer(338) == _SCALED and photometric != _SEPARATED:
        raise PictureFileError(path, "colours scaled by their transparency", "full colours", "Flatten its layers, save again.")
    reader = _reader(path, page, number, size, (height, width, samples), depth)
    return PictureFile(
        path=path,
        kind="TIFF",
        width=width,
        height=height,
        bits=16 if space == "lab" else depth,
        space=space,
        alpha=bool(extra),
        tags=kept_tags(page),
        profile=b"" if space == "lab" else page.raw(PROFILE),
        rows_together=reader.rows_together,
        read=_LabRows(reader, photometric == _CIELAB, depth).read if space == "lab" else reader.read,
        compression=compression,
        notes=notes,
    )


def _reader(
    path: Path, page: Directory, number: int, size: int, shape: tuple[int, int, int], bits: int
) -> "_OpenRows | _DecodedRows | _WholeRows":
    photometric = page.integer(262)
    with path.open("rb") as file:
        letter = {b"II": "<", b"MM": ">"}[file.read(2)]
    if photometric in _TO_RGB and not (photometric == _LUMINANCE and page.integer(259) == _JPEG):
        return _WholeRows(path, shape)
    if page.integer(259, 1) == _NONE and 273 in page.tags and 322 not in page.tags and page.integer(266, 1) == 1:
        return _OpenRows(path, page, size, shape, bits, letter)
    return _DecodedRows(path, page, number, shape, bits)


class _LabRows:
    """Rows of a CIELAB picture in the 16 bits that the colour engine takes: L* 0 to 100, a* and b* -128 to 127 and a fraction.

    [TIFF-6.0] CIE L*a*b*: a* and b* signed, of 16 bits 256 to a unit. [ICC.1-2001] the 16-bit encoding of the other kind, in
    which 65280 is L* 100, and its registration for TIFF, from memory.
    """

    def __init__(self, reader: "_OpenRows | _DecodedRows | _WholeRows", signed: bool, bits: int) -> None:
        self._reader, self._signed, self._bits = reader, signed, bits

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop."""
        stored = self._reader.read(start, stop).astype(np.float64)
        full = 2.0**self._bits
        light = stored[..., :1] / ((full - 1) if self._signed or self._bits == _EIGHT else _WHITE_OF_16)
        unit = 1.0 if self._bits == _EIGHT else _UNIT_OF_16
        if self._signed:
            chroma = np.where(stored[..., 1:] >= full / 2, stored[..., 1:] - full, stored[..., 1:]) / unit
        else:
            chroma = stored[..., 1:] / unit - _ZERO_AB
        found = np.concatenate([light * 65535, (chroma + _ZERO_AB) * 257], axis=-1)
        rows: AnyArray = np.clip(np.rint(found), 0, 65535).astype(np.uint16)
        return rows


class _OpenRows:
    """Rows of an uncompressed picture in strips."""

    rows_together = 1

    def __init__(self, path: Path, page: Directory, size: int, shape: tuple[int, int, int], bits: int, letter: str) -> None:
        self.path, self.shape = path, shape
        self.dtype = np.dtype(f"{letter}u{bits // 8}")
        height, width, samples = shape
        self.planes = samples if page.integer(284, 1) == 2 else 1
        self.row_bytes = width * samples // self.planes * self.dtype.itemsize
        self.rows = min(max(page.integer(278, height), 1), height)
        self.offsets = page.tags[273].integers()
        self.turned = page.integer(262) == _WHITE_IS_ZERO
        self._kept = threading.local()
        strips = -(-height // self.rows)
        if len(self.offsets) != strips * self.planes:
            raise ValueError(f"{len(self.offsets)} strips where {strips * self.planes} are needed")
        for number, offset in enumerate(self.offsets):
            rows = min(self.rows, height - number % strips * self.rows)
            if offset + rows * self.row_bytes > size:
                raise ValueError(f"strip {number + 1} ends after the file")

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop; they hold until this thread reads again."""
        height, width, samples = self.shape
        per_plane = samples // self.planes
        read = self._memory((self.planes, stop - start, width, per_plane))
        strips = -(-height // self.rows)
        with self.path.open("rb", buffering=0) as file:
            for plane in range(self.planes):
                row = start
                while row < stop:
                    strip, within = divmod(row, self.rows)
                    end = min(stop, (strip + 1) * self.rows)
                    while end < stop and self._follows(plane * strips + strip):
                        strip += 1
                        end = min(stop, (strip + 1) * self.rows)
                    first = plane * strips + row // self.rows
                    file.seek(self.offsets[first] + within * self.row_bytes)
                    _fill(file, read[plane, row - start : end - start].reshape(-1).view(np.uint8).data)
                    row = end
        pixels = read[0] if self.planes == 1 else np.ascontiguousarray(np.moveaxis(read[..., 0], 0, -1))
        return _native(pixels, self.turned)

    def _memory(self, shape: tuple[int, ...]) -> AnyArray:
        """Return memory that this thread uses again at its next read: new memory costs as much as a copy."""
        size = int(np.prod(shape))
        if getattr(self._kept, "values", np.empty(0)).size < size:
            self._kept.values = np.empty(size, self.dtype)
        values: AnyArray = self._kept.values[:size]
        return values.reshape(shape)

    def _follows(self, number: int) -> bool:
        """Tell whether the next strip stands right after one, so that both can be read at one go."""
        return self.offsets[number] + self.rows * self.row_bytes == self.offsets[number + 1]


def _fill(file: Any, view: memoryview) -> None:
    while len(view):
        taken = file.readinto(view)
        if not taken:
            raise ValueError("the file ends within a strip")
        view = view[taken:]


def _native(pixels: AnyArray, turned: bool) -> AnyArray:
    if not pixels.dtype.isnative:
        pixels = pixels.byteswap(inplace=True).view(pixels.dtype.newbyteorder("="))
    if turned:
        pixels[..., 0] = np.iinfo(pixels.dtype).max - pixels[..., 0]
    return pixels


@dataclass(frozen=True, slots=True)
class _Decoder:
    """How the strips or tiles of a picture are decoded, and where they lie."""

    decode: Callable[..., Any]
    tables: Any
    offsets: Sequence[int]
    sizes: Sequence[int]


class _DecodedRows:
    """Rows of a picture in compressed strips or in tiles."""

    def __init__(self, path: Path, page: Directory, number: int, shape: tuple[int, int, int], bits: int) -> None:
        self.path, self.shape, self.number = path, shape, number
        self.dtype = np.dtype(f"u{bits // 8}")
        self.turned = page.integer(262) == _WHITE_IS_ZERO
        height, width, samples = shape
        tiled = 322 in page.tags
        self.rows = page.integer(323) if tiled else min(max(page.integer(278, height), 1), height)
        self.columns = page.integer(322) if tiled else width
        self.planes = samples if page.integer(284, 1) == 2 else 1
        if self.rows < 1 or self.columns < 1:
            raise ValueError("tiles without pixels")
        if self.rows * self.columns * samples // self.planes * self.dtype.itemsize > _LARGEST_PART:
            raise PictureFileError(
                path, "one strip larger than 400 MB", "strips or tiles", "Save it uncompressed, or with smaller strips."
            )
        self.rows_together = self.rows
        self.tiled, self.lzw = tiled, page.integer(259) == _LZW
        self.predicted = page.integer(317, 1)
        with path.open("rb") as file:
            letter = {b"II": "<", b"MM": ">"}[file.read(2)]
        self.stored = np.dtype(f"{letter}u{bits // 8}")
        if self.lzw and (self.predicted not in (1, _DIFFERENCES) or page.integer(266, 1) != 1):
            raise PictureFileError(path, "a rare kind of compression", "an uncompressed picture", FIX)
        self._made: _Decoder | None = None
        self._lock = threading.Lock()

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop; each strip or tile that holds one of them is decoded."""
        height, width, samples = self.shape
        pixels = np.zeros((stop - start, width, samples), self.dtype)
        across, down = -(-width // self.columns), -(-height // self.rows)
        try:
            decoder = self._decoder()
            with self.path.open("rb") as file:
                for plane in range(self.planes):
                    for part in range(start // self.rows * across, -(-stop // self.rows) * across):
                        self._place(decoder, file, plane * across * down + part, pixels, start)
        except PictureFileError:
            raise
        except Exception as error:  # the decoders raise anything on hostile bytes; all of it is the file's fault
            raise damaged(self.path, "a damaged or cut TIFF") from error
        return _native(pixels, self.turned)

    def _decoder(self) -> "_Decoder":
        """Return what decodes a part, made once for all threads."""
        with self._lock:
            if self._made is None:
                import logging

                import tifffile

                logging.getLogger("tifffile").setLevel(logging.CRITICAL)  # what it would log is said by our error
                with tifffile.TiffFile(self.path) as file:
                    page = file.pages[self.number]
                    self._made = _Decoder(page.decode, page.jpegtables, page.dataoffsets, page.databytecounts)
        return self._made

    def _place(self, decoder: "_Decoder", file: Any, index: int, pixels: AnyArray, start: int) -> None:
        if decoder.offsets[index] == 0 or decoder.sizes[index] == 0:
            raise damaged(self.path, "a TIFF with a strip missing")
        file.seek(decoder.offsets[index])
        data = file.read(decoder.sizes[index])
        if self.lzw:
            part, plane, top, left = self._lzw_part(data, index)
        else:
            part, (plane, _, top, left, _), _ = decoder.decode(data, index, jpegtables=decoder.tables)
            part = part[0]
        part = part[:, : self.shape[1] - left]
        first, last = max(top, start), min(top + part.shape[0], start + len(pixels))
        if last <= first:
            return
        taken = part[first - top : last - top]
        place = pixels[first - start : last - start, left : left + taken.shape[1]]
        if self.planes > 1:
            place[..., plane] = taken[..., 0]
        else:
            place[...] = taken

    def _lzw_part(self, data: bytes, index: int) -> tuple[AnyArray, int, int, int]:
        """Return the pixels of a strip or tile under LZW, the plane, and the row and column they begin at."""
        height, width, samples = self.shape
        across = -(-width // self.columns)
        plane, place = divmod(index, across * -(-height // self.rows))
        top, left = place // across * self.rows, place % across * self.columns
        rows = self.rows if self.tiled else min(self.rows, height - top)
        shape = (rows, self.columns, samples // self.planes)
        raw = _without_lzw(data, rows, shape[1] * shape[2] * self.dtype.itemsize)
        part: AnyArray = np.frombuffer(raw, self.stored).reshape(shape).astype(self.dtype)
        if self.predicted == _DIFFERENCES:
            part = np.cumsum(part, axis=1, dtype=self.dtype)
        return part, plane, top, left


def _without_lzw(data: bytes, rows: int, row_bytes: int) -> bytes:
    """Return rows that LZW packed, as bytes: by the general picture library, as a grey or four-channel TIFF of one strip.

    The other library's own decoder can end the whole process on damaged data. Raises ValueError, OSError.
    """
    from PIL import Image

    four = row_bytes % 4 == 0
    mode, photometric, samples = ("CMYK", _SEPARATED, 4) if four else ("L", _BLACK_IS_ZERO, 1)
    entries = [
        (256, _LONG, row_bytes // samples), (257, _LONG, rows), (259, _SHORT, _LZW), (262, _SHORT, photometric),
        (273, _LONG, 8), (277, _SHORT, samples), (278, _LONG, rows), (279, _LONG, len(data)),
    ]  # fmt: skip
    where = 8 + len(data) + len(data) % 2
    behind = where + 2 + 12 * (len(entries) + 1) + 4  # four numbers of bits do not fit into their entry
    bits = struct.pack("<HHII", 258, _SHORT, samples, behind if four else 8)
    packed = sorted([struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in entries] + [bits], key=_tag_number)
    file = struct.pack("<2sHI", b"II", 42, where) + data + bytes(len(data) % 2) + struct.pack("<H", len(packed))
    file += b"".join(packed) + bytes(4) + struct.pack("<4H", 8, 8, 8, 8)
    with Image.open(io.BytesIO(file), formats=("TIFF",)) as image:
        if image.mode != mode:
            raise ValueError("a strip that contradicts itself")
        raw = image.tobytes()
    if len(raw) != rows * row_bytes:
        raise ValueError("a strip of another size")
    return raw


def _tag_number(entry: bytes) -> int:
    return int.from_bytes(entry[:2], "little")


class _WholeRows(WholePicture):
    """Rows of an 8-bit picture with a palette, or with luminance and chroma apart, decoded whole."""

    rows_together = 1

    def __init__(self, path: Path, shape: tuple[int, int, int]) -> None:
        super().__init__(path, shape)
        check_size(path, shape[1], shape[0], 4)

    def decoded(self) -> AnyArray:
        """Return the pixels, as red, green and blue."""
        import warnings

        from PIL import Image

        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # the library warns of large pictures; the limit here is ours
                with Image.open(self.path, formats=("TIFF",)) as image:
                    pixels: AnyArray = np.asarray(image.convert("RGB"))
        except Exception as error:  # as above
            raise damaged(self.path, "a damaged TIFF, or one compressed in an unknown way") from error
        if pixels.shape[:2] != self.shape[:2]:
            raise damaged(self.path, "a TIFF that contradicts itself")
        return pixels
