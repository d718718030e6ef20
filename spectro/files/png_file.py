"""PNG as a picture to be converted, and written: chunks are read here, pixels decoded by a general library.

Profiles and texts of any size are read: the library is given only the chunks that pixels need.
References: [PNG-3] datastream structure, IHDR, iCCP, pHYs, eXIf, cICP.
"""

import struct
import threading
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import PictureFileError
from spectro.files.picture_file import FIX, LARGEST_PIXELS, PictureFile, WholePicture, check_size, damaged
from spectro.files.picture_tags import XMP, exif_block, exif_tags, pixels_per_inch, resolution_tags, with_tags, xmp_tag
from spectro.files.tiff_directory import Directory
from spectro.records.arrays import AnyArray

_MARK = b"\x89PNG\r\n\x1a\n"
_OF_PIXELS = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
_TEXTS = (b"tEXt", b"zTXt", b"iTXt", b"tIME")
_LARGEST_PROFILE = 64 * 1024 * 1024
_XMP_KEYWORD = bytes.fromhex("584d4c3a636f6d2e61646f62652e786d70")  # the keyword that readers of XMP look for; from memory
_DEFLATE_RATIO = 1032  # Deflate packs no more than so many bytes into one; from memory
_SPACES = {0: "grey", 2: "rgb", 3: "rgb", 4: "grey", 6: "rgb"}
_SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_HEAD, _PALETTE, _BYTE, _PAETH = 13, 3, 8, 4  # bytes of IHDR; kind with a palette; bits; number of the filter
_PIECE = 1 << 18  # bytes that are read or unpacked at a time
_BAND = 1 << 23  # of rows unpacked together
_MOST_WAITING = 160_000_000  # of rows that wait to be read
_ROWS_AT_A_TIME = 64


def open_png(path: Path) -> PictureFile:
    """Open a PNG. Raises PictureFileError where it is damaged or too large."""
    try:
        chunks, spans = _chunks(path)
    except OSError as error:
        raise damaged(path, error.strerror or "a file that cannot be read") from error
    found = dict(reversed(chunks))  # the first of each name
    head = found.get(b"IHDR", b"")
    if len(head) != _HEAD:
        raise damaged(path, "a PNG without its header")
    width, height, depth, kind, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    if kind not in _SPACES or depth not in (1, 2, 4, 8, 16):
        raise damaged(path, f"a PNG of kind {kind} with {depth} bits")
    in_bands = not interlaced and depth >= _BYTE and kind != _PALETTE
    check_size(path, width, height, 0 if in_bands else 4 * (2 if depth == 16 else 1))
    if width * height > LARGEST_PIXELS:
        raise PictureFileError(path, f"{width} × {height} pixels", f"1 to {LARGEST_PIXELS}", "Make it smaller.")
    packed = sum(length for _, length in spans)
    if packed * _DEFLATE_RATIO < height * (width * depth * _SAMPLES[kind] // 8):
        raise damaged(path, "a damaged or cut PNG")
    tags, notes = _tags(found)
    alpha = kind in (4, 6) or b"tRNS" in found
    form = _Form(
        width=width, height=height, depth=depth, kind=kind, channels=1 if _SPACES[kind] == "grey" else 3, alpha=alpha,
        of_pixels=tuple((name, data) for name, data in chunks if name in (b"PLTE", b"tRNS")), head=head,
    )  # fmt: skip
    decoded = _BandRows(path, form, spans) if in_bands else _Decoded(path, form, spans)
    return PictureFile(
        path=path,
        kind="PNG",
        width=width,
        height=height,
        bits=16 if depth == 16 else 8,
        space=_SPACES[kind],
        alpha=alpha,
        tags=tags,
        profile=_profile(path, found.get(b"iCCP", b"")),
        rows_together=1,
        read=decoded.read,
        notes=notes,
        chunks=tuple((name, data) for name, data in chunks if name in _TEXTS),
    )


def _chunks(path: Path) -> tuple[list[tuple[bytes, bytes]], list[tuple[int, int]]]:
    """Return the chunks of a PNG beside its pixels, and where those lie: places and lengths. All sums are checked."""
    found: list[tuple[bytes, bytes]] = []
    spans: list[tuple[int, int]] = []
    with path.open("rb") as file:
        size, at = path.stat().st_size, len(_MARK)
        file.seek(at)
        while at + 12 <= size:
            length, name = struct.unpack(">I4s", file.read(8))
            if at + 12 + length > size:
                break
            if name == b"IDAT":
                spans.append((at + 8, length))
                check = zlib.crc32(name)
                for start in range(0, length, _PIECE):
                    check = zlib.crc32(file.read(min(_PIECE, length - start)), check)
            else:
                body = file.read(length)
                check = zlib.crc32(name + body)
                found.append((name, body))
            if name in (*_OF_PIXELS, b"iCCP") and check != int.from_bytes(file.read(4), "big"):
                raise damaged(path, f"a PNG with a wrong check sum in {name.decode('latin-1')}")
            at += 12 + length
            file.seek(at)
            if name == b"IEND":
                return found, spans
    raise damaged(path, "a damaged or cut PNG")


def _profile(path: Path, chunk: bytes) -> bytes:
    if not chunk:
        return b""
    _, _, packed = chunk.partition(b"\0")
    opened = zlib.decompressobj()
    try:
        profile = opened.decompress(packed[1:], _LARGEST_PROFILE)
    except zlib.error as error:
        raise damaged(path, "a PNG with a damaged profile") from error
    if not opened.eof:
        raise PictureFileError(path, "a cut profile, or one above 64 MB", "an undamaged profile", FIX)
    return profile


def _tags(found: dict[bytes, bytes]) -> tuple[Directory, tuple[str, ...]]:
    tags, notes = Directory(), []
    if b"eXIf" in found:
        try:
            tags = exif_tags(found[b"eXIf"])
        except (ValueError, struct.error):
            notes.append("its Exif data is damaged and was left out")
    places = found.get(b"pHYs", b"")
    if len(places) == 9 and places[8] == 1:
        x, y = struct.unpack(">II", places[:8])
        tags = with_tags(tags, resolution_tags((x, 100), (y, 100), centimetres=True))
    packet = found.get(b"iTXt", b"")
    if b"<x:xmpmeta" in packet and packet.count(b"\0") >= 4:
        keyword_end = packet.index(b"\0")
        if packet[keyword_end + 1 : keyword_end + 2] == b"\0":  # not compressed
            tags = with_tags(tags, xmp_tag(packet[keyword_end + 3 :].split(b"\0", 2)[2]))
    return tags, tuple(notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    """How the pixels of a PNG lie."""

    width: int
    height: int
    depth: int
    kind: int
    channels: int  # of colour
    alpha: bool
    of_pixels: tuple[tuple[bytes, bytes], ...]  # palette and transparency
    head: bytes  # IHDR

    @property
    def row_bytes(self) -> int:
        """Bytes of a row before it is packed, without its filter."""
        return self.width * self.depth * _SAMPLES[self.kind] // 8

    def decoded(self, path: Path, rows: int, packed: bytes) -> AnyArray:
        """Return rows (rows, width, channels with cover) of packed ones, by the general library."""
        import imagecodecs

        head = struct.pack(">II", self.width, rows) + self.head[8:]
        parts = ((b"IHDR", head), *self.of_pixels, (b"IDAT", packed), (b"IEND", b""))
        try:
            pixels: AnyArray = imagecodecs.png_decode(_MARK + b"".join(pack_chunk(name, data) for name, data in parts))
        except Exception as error:  # the decoder raises anything on hostile bytes; all of it is the file's fault
            raise damaged(path, "a damaged PNG") from error
        pixels = pixels.reshape(rows, self.width, -1)
        if pixels.shape[2] not in (self.channels, self.channels + 1):
            raise damaged(path, "a PNG that contradicts itself")
        if self.alpha and pixels.shape[2] == self.channels:
            pixels = np.concatenate([pixels, np.full_like(pixels[..., :1], np.iinfo(pixels.dtype).max)], axis=2)
        return pixels if self.alpha else pixels[..., : self.channels]


class _Decoded(WholePicture):
    """The pixels of a PNG that shows itself in passes or has a palette."""

    def __init__(self, path: Path, form: _Form, spans: list[tuple[int, int]]) -> None:
        super().__init__(path, (form.height, form.width, form.channels + form.alpha))
        self.form, self.spans = form, spans

    def decoded(self) -> AnyArray:
        """Return the pixels, as many channels as the form says."""
        return self.form.decoded(self.path, self.form.height, b"".join(_pieces(self.path, self.spans)))


class _BandRows:
    """The rows of a PNG, unpacked one after the other and kept until they are read once, or memory is short.

    Each band is handed to the general library as a picture of its own, whose first row is the last one of the band before:
    rows are stored as what they differ by from it.
    """

    def __init__(self, path: Path, form: _Form, spans: list[tuple[int, int]]) -> None:
        self.path, self.form, self.spans = path, form, spans
        self._lock = threading.Lock()
        self._begin()

    def _begin(self) -> None:
        self._bytes = _unpacked(self.path, self.spans)
        self._held, self._row, self._last = bytearray(), 0, b""
        self._blocks: list[_Block] = []

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop."""
        with self._lock:
            first = min((block.first for block in self._blocks), default=self._row)
            if start < first and start < self._row:
                self._begin()
            found: list[AnyArray] = []
            row = start
            while row < stop:
                block = next((one for one in self._blocks if one.first <= row < one.last), None)
                if block is None:
                    if row < self._row:  # it was let go before
                        self._begin()
                    self._next()
                    self._let_go(row)
                    continue
                part = block.pixels[row - block.first : min(stop, block.last) - block.first]
                found.append(part)
                block.unread -= len(part)
                row += len(part)
            self._blocks = [block for block in self._blocks if block.unread > 0]
            return found[0].copy() if len(found) == 1 else np.concatenate(found)

    def _let_go(self, row: int) -> None:
        """Forget the oldest rows where too many wait, but none from `row` on."""
        while sum(block.pixels.nbytes for block in self._blocks) > _MOST_WAITING and self._blocks[0].last <= row:
            del self._blocks[0]

    def _next(self) -> None:
        """Unpack the next rows."""
        form = self.form
        rows = min(max(1, _BAND // form.row_bytes), form.height - self._row)
        wanted = rows * (form.row_bytes + 1)
        while len(self._held) < wanted:
            more = next(self._bytes, b"")
            if not more:
                raise damaged(self.path, "a damaged or cut PNG")
            self._held += more
        before = b"\0" + self._last if self._last else b""
        packed = zlib.compress(before + bytes(self._held[:wanted]), 0)
        del self._held[:wanted]
        pixels = form.decoded(self.path, rows + bool(before), packed)
        stored = pixels[-1, :, : _SAMPLES[form.kind]]
        self._last = stored.astype(">u2" if form.depth > _BYTE else "u1").tobytes()
        pixels = pixels[1:] if before else pixels
        self._blocks.append(_Block(self._row, pixels, rows))
        self._row += rows


class _Block:
    """Rows that wait to be read."""

    def __init__(self, first: int, pixels: AnyArray, unread: int) -> None:
        self.first, self.pixels, self.unread = first, pixels, unread

    @property
    def last(self) -> int:
        """The row behind them."""
        return self.first + len(self.pixels)


def _pieces(path: Path, spans: list[tuple[int, int]]) -> Iterator[bytes]:
    with path.open("rb") as file:
        for place, length in spans:
            file.seek(place)
            for start in range(0, length, _PIECE):
                yield file.read(min(_PIECE, length - start))


def _unpacked(path: Path, spans: list[tuple[int, int]]) -> Iterator[bytes]:
    """Yield what the pixels' chunks unpack to, a piece at a time."""
    opened = zlib.decompressobj()
    try:
        for piece in _pieces(path, spans):
            while piece:
                found = opened.decompress(piece, _PIECE)
                piece = opened.unconsumed_tail
                if found:
                    yield found
    except zlib.error as error:
        raise damaged(path, "a damaged PNG") from error


def pack_chunk(name: bytes, data: bytes) -> bytes:
    """Return a chunk with its length and check sum."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def pack_png(pixels: AnyArray, tags: Directory, profile: bytes, texts: tuple[tuple[bytes, bytes], ...]) -> bytes:
    """Return the PNG of pixels (rows, columns, 1 to 4 channels), uint8 or uint16, with tags, profile and texts."""
    import imagecodecs

    packed = bytes(imagecodecs.png_encode(pixels if pixels.shape[2] > 1 else pixels[..., 0], level=4))
    head = len(_MARK) + 12 + _HEAD
    return packed[:head] + _said(tags, profile, texts) + packed[head:]


def _said(tags: Directory, profile: bytes, texts: tuple[tuple[bytes, bytes], ...]) -> bytes:
    """Return the chunks of what a picture says of itself."""
    more = b""
    if profile:
        more += pack_chunk(b"iCCP", b"ICC profile\0\0" + zlib.compress(profile, 6))
    resolution = pixels_per_inch(tags)
    if resolution:
        x, y = (round(value / 0.0254) for value in resolution)
        more += pack_chunk(b"pHYs", struct.pack(">IIB", x, y, 1))
    more += b"".join(pack_chunk(name, data) for name, data in texts)
    if tags.raw(XMP) and not any(b"<x:xmpmeta" in data for _, data in texts):
        more += pack_chunk(b"iTXt", _XMP_KEYWORD + bytes(5) + tags.raw(XMP))
    exif = exif_block(tags)
    if exif:
        more += pack_chunk(b"eXIf", exif)
    return more


class PngRows:
    """A PNG written row by row, from top to bottom."""

    def __init__(self, place: Path, shape: tuple[int, int, int], bits: int) -> None:
        """shape: rows, columns, channels, cover among them."""
        self.place, self.shape, self.bits = place, shape, bits
        self._packer = zlib.compressobj(4)
        self._above: AnyArray | None = None

    def begin(self, tags: Directory, profile: bytes, texts: tuple[tuple[bytes, bytes], ...]) -> None:
        """Write what stands before the pixels."""
        height, width, samples = self.shape
        kind = {1: 0, 2: 4, 3: 2, 4: 6}[samples]
        head = struct.pack(">IIBBBBB", width, height, self.bits, kind, 0, 0, 0)
        self.place.write_bytes(_MARK + pack_chunk(b"IHDR", head) + _said(tags, profile, texts))

    def add(self, rows: AnyArray) -> None:
        """Write the next rows (n, columns, channels)."""
        step = self.shape[2] * self.bits // 8
        for start in range(0, len(rows), _ROWS_AT_A_TIME):
            part = np.ascontiguousarray(rows[start : start + _ROWS_AT_A_TIME])
            numbers = part.astype(part.dtype.newbyteorder(">")).reshape(len(part), -1).view(np.uint8)
            above = np.zeros_like(numbers[:1]) if self._above is None else self._above
            self._above = numbers[-1:].copy()
            filtered = np.empty((len(numbers), numbers.shape[1] + 1), np.uint8)
            filtered[:, 0] = _PAETH
            filtered[:, 1:] = _paeth(numbers, np.concatenate([above, numbers[:-1]]), step)
            self._write(self._packer.compress(filtered.tobytes()))

    def finish(self) -> None:
        """Write the end."""
        self._write(self._packer.flush())
        with self.place.open("ab") as file:
            file.write(pack_chunk(b"IEND", b""))

    def _write(self, packed: bytes) -> None:
        if packed:
            with self.place.open("ab") as file:
                file.write(pack_chunk(b"IDAT", packed))


def _paeth(numbers: AnyArray, above: AnyArray, step: int) -> AnyArray:
    """Return what bytes (n, m) differ by from the likeliest of left, above and left above. [PNG-3] filter 4."""
    up = above.astype(np.int16)
    left, corner = np.zeros_like(up), np.zeros_like(up)
    left[:, step:] = numbers[:, :-step]
    corner[:, step:] = above[:, :-step]
    to_left, to_up = np.abs(up - corner), np.abs(left - corner)
    to_corner = np.abs(left + up - 2 * corner)
    likeliest = np.where((to_left <= to_up) & (to_left <= to_corner), left, np.where(to_up <= to_corner, up, corner))
    found: AnyArray = (numbers - likeliest).astype(np.uint8)
    return found
