"""PNG as a picture to be converted, and written: chunks are read here, pixels decoded by a general library.

Profiles and texts of any size are read: the library is given only the chunks that pixels need.
References: [PNG-3] datastream structure, IHDR, iCCP, pHYs, eXIf, cICP.
"""

import struct
import threading
import zlib
from pathlib import Path

import numpy as np

from spectro.errors import PictureFileError
from spectro.files.picture_file import FIX, PictureFile, check_size, damaged
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


def open_png(path: Path) -> PictureFile:
    """Open a PNG. Raises PictureFileError where it is damaged or too large."""
    try:
        chunks = _chunks(path, path.read_bytes())
    except OSError as error:
        raise damaged(path, error.strerror or "a file that cannot be read") from error
    found = dict(reversed(chunks))  # the first of each name
    head = found.get(b"IHDR", b"")
    if len(head) != 13:
        raise damaged(path, "a PNG without its header")
    width, height, depth, kind = struct.unpack(">IIBB", head[:10])
    if kind not in _SPACES or depth not in (1, 2, 4, 8, 16):
        raise damaged(path, f"a PNG of kind {kind} with {depth} bits")
    check_size(path, width, height, 4 * (2 if depth == 16 else 1))
    packed = sum(len(data) for name, data in chunks if name == b"IDAT")
    if packed * _DEFLATE_RATIO < height * (width * depth * _SAMPLES[kind] // 8):
        raise damaged(path, "a damaged or cut PNG")
    tags, notes = _tags(found)
    alpha = kind in (4, 6) or b"tRNS" in found
    decoded = _Decoded(path, chunks, (height, width, 1 if _SPACES[kind] == "grey" else 3), depth, alpha)
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


def _chunks(path: Path, data: bytes) -> list[tuple[bytes, bytes]]:
    found, at = [], len(_MARK)
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        if len(body) < length or at + 12 + length > len(data):
            raise damaged(path, "a damaged or cut PNG")
        if name in (*_OF_PIXELS, b"iCCP") and zlib.crc32(name + body) != struct.unpack_from(">I", data, at + 8 + length)[0]:
            raise damaged(path, f"a PNG with a wrong check sum in {name.decode('latin-1')}")
        found.append((name, body))
        at += 12 + length
        if name == b"IEND":
            return found
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


class _Decoded:
    """The pixels of a PNG, decoded when they are first asked for."""

    def __init__(
        self, path: Path, chunks: list[tuple[bytes, bytes]], shape: tuple[int, int, int], depth: int, alpha: bool
    ) -> None:
        self.path, self.shape, self.depth, self.alpha = path, shape, depth, alpha
        self._chunks = [(name, data) for name, data in chunks if name in _OF_PIXELS]
        self._pixels: AnyArray | None = None
        self._lock = threading.Lock()

    def read(self, start: int, stop: int) -> AnyArray:
        """Return rows start to stop."""
        with self._lock:
            if self._pixels is None:
                self._pixels = self._decode()
                self._chunks = []
        return self._pixels[start:stop]

    def _decode(self) -> AnyArray:
        import imagecodecs

        try:
            pixels: AnyArray = imagecodecs.png_decode(_MARK + b"".join(pack_chunk(name, data) for name, data in self._chunks))
        except Exception as error:  # the decoder raises anything on hostile bytes; all of it is the file's fault
            raise damaged(self.path, "a damaged PNG") from error
        height, width, channels = self.shape
        pixels = pixels.reshape(height, width, -1)
        if pixels.shape[2] not in (channels, channels + 1):
            raise damaged(self.path, "a PNG that contradicts itself")
        if self.alpha and pixels.shape[2] == channels:
            pixels = np.concatenate([pixels, np.full_like(pixels[..., :1], np.iinfo(pixels.dtype).max)], axis=2)
        return pixels if self.alpha else pixels[..., :channels]


def pack_chunk(name: bytes, data: bytes) -> bytes:
    """Return a chunk with its length and check sum."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def pack_png(pixels: AnyArray, tags: Directory, profile: bytes, texts: tuple[tuple[bytes, bytes], ...]) -> bytes:
    """Return the PNG of pixels (rows, columns, 1 to 4 channels), uint8 or uint16, with tags, profile and texts."""
    import imagecodecs

    packed = bytes(imagecodecs.png_encode(pixels if pixels.shape[2] > 1 else pixels[..., 0], level=4))
    head = len(_MARK) + 25
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
    return packed[:head] + more + packed[head:]
