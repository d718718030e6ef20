"""JPEG as a picture to be converted, and written: segments are read here, pixels decoded by a general library.

CMYK values that a program stored turned round, as its mark in the file says, come out with 0 for no ink.
References: [ISO-10918-1] marker segments; [CIPA-DC-008] APP1; [ICC.1-2022] embedding in JFIF files.
"""

import io
import struct
import warnings
from pathlib import Path

import numpy as np

from spectro.errors import PictureFileError
from spectro.files.picture_file import FIX, PictureFile, WholePicture, check_size, damaged
from spectro.files.picture_tags import (
    RESOURCES,
    X_RESOLUTION,
    XMP,
    exif_block,
    exif_tags,
    pixels_per_inch,
    resolution_tags,
    resource_tags,
    with_tags,
    xmp_tag,
)
from spectro.files.tiff_directory import Directory
from spectro.records.arrays import AnyArray

_QUALITY = 97  # of what is written; no source
_LARGEST_SIDE = 65500
_MOST_PIXELS = 178_000_000  # the general library opens no more, lest a small file fill all memory
_FRAMES = (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0))
_SPACES = {1: "grey", 3: "rgb", 4: "cmyk"}
_PROFILE_MARK = b"ICC_PROFILE\0"
_MOST_EXIF = 65533 - 6
_BLOCKS_MARK = bytes.fromhex("50686f746f73686f7020332e3000")  # what readers of resource blocks (IPTC) look for; from memory
_MOST_BLOCKS = 65533 - len(_BLOCKS_MARK)


def open_jpeg(path: Path) -> PictureFile:
    """Open a JPEG. Raises PictureFileError where it is damaged, or of a kind that is not decoded here."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise damaged(path, error.strerror or "a file that cannot be read") from error
    segments = jpeg_segments(data)
    frame = next((body for marker, body in segments if marker in _FRAMES), b"")
    if len(frame) < 6:
        raise damaged(path, "a cut JPEG")
    depth, height, width, channels = struct.unpack(">BHHB", frame[:6])
    if depth != 8 or channels not in _SPACES:
        raise PictureFileError(path, f"a JPEG with {channels} channels of {depth} bits", "grey, RGB or CMYK with 8", FIX)
    check_size(path, width, height, channels)
    if width * height > _MOST_PIXELS:
        most = f"at most {_MOST_PIXELS // 1_000_000} million in a JPEG"
        raise PictureFileError(path, f"{width} × {height} pixels", most, "Save it as TIFF or PNG.")
    tags, notes = _tags(segments)
    decoded = _Decoded(path, data, (height, width, channels))
    return PictureFile(
        path=path,
        kind="JPEG",
        width=width,
        height=height,
        bits=8,
        space=_SPACES[channels],
        alpha=False,
        tags=tags,
        profile=_profile(path, segments),
        rows_together=1,
        read=decoded.read,
        notes=notes,
    )


def jpeg_segments(data: bytes) -> list[tuple[int, bytes]]:
    """Return marker and body of each segment before the pixels, as far as they are whole."""
    found, at = [], 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        (length,) = struct.unpack_from(">H", data, at + 2)
        if marker == 0xDA or length < 2 or at + 2 + length > len(data):
            break
        found.append((marker, data[at + 4 : at + 2 + length]))
        at += 2 + length
    return found


def _profile(path: Path, segments: list[tuple[int, bytes]]) -> bytes:
    parts = {
        body[12]: body[14:] for marker, body in segments if marker == 0xE2 and body.startswith(_PROFILE_MARK) and body[14:]
    }
    counts = {body[13] for marker, body in segments if marker == 0xE2 and body.startswith(_PROFILE_MARK) and body[14:]}
    if not parts:
        return b""
    if len(counts) != 1 or sorted(parts) != list(range(1, counts.pop() + 1)):
        raise damaged(path, "a JPEG with a profile of which parts are missing")
    return b"".join(parts[number] for number in sorted(parts))


def _tags(segments: list[tuple[int, bytes]]) -> tuple[Directory, tuple[str, ...]]:
    tags, notes = Directory(), []
    for marker, body in segments:
        if marker == 0xE1 and body.startswith(b"Exif\0\0"):
            try:
                tags = with_tags(exif_tags(body), tags.tags)
            except (ValueError, struct.error):
                notes.append("its Exif data is damaged and was left out")
        elif marker == 0xE1 and body.partition(b"\0")[2].lstrip().startswith(b"<"):
            if XMP not in tags.tags:  # a second packet that only some programs write is left out
                tags = with_tags(tags, xmp_tag(body.partition(b"\0")[2]))
        elif marker == 0xED and RESOURCES not in tags.tags and len(body.partition(b"\0")[2]) > 12:
            tags = with_tags(tags, resource_tags(body.partition(b"\0")[2]))
    head = next((body for marker, body in segments if marker == 0xE0 and body.startswith(b"JFIF\0")), b"")
    if len(head) >= 12 and head[7] in (1, 2) and X_RESOLUTION not in tags.tags:
        x, y = struct.unpack(">HH", head[8:12])
        tags = with_tags(tags, resolution_tags((x, 1), (y, 1), centimetres=head[7] == 2))
    return tags, tuple(notes)


class _Decoded(WholePicture):
    """The pixels of a JPEG."""

    def __init__(self, path: Path, data: bytes, shape: tuple[int, int, int]) -> None:
        super().__init__(path, shape)
        self._data = data

    def decoded(self) -> AnyArray:
        """Return the pixels, and let go of the file's bytes."""
        from PIL import Image

        data, self._data = self._data, b""
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # the library warns of large pictures; the limit here is ours
                with Image.open(io.BytesIO(data), formats=("JPEG",)) as image:
                    pixels: AnyArray = np.asarray(image)
        except Exception as error:  # the decoder raises anything on hostile bytes; all of it is the file's fault
            raise damaged(self.path, "a damaged or cut JPEG") from error
        height, width, channels = self.shape
        if pixels.size != height * width * channels:
            raise damaged(self.path, "a JPEG that contradicts itself")
        return pixels.reshape(height, width, channels)


def pack_jpeg(pixels: AnyArray, tags: Directory, profile: bytes) -> bytes:
    """Return the JPEG of pixels (rows, columns, 1, 3 or 4), uint8, with what it says of itself and its profile.

    Exif data that is too large for a JPEG is left out.
    """
    from PIL import Image

    image = Image.fromarray(pixels[..., 0] if pixels.shape[2] == 1 else pixels, {1: "L", 3: "RGB", 4: "CMYK"}[pixels.shape[2]])
    file = io.BytesIO()
    exif = exif_block(tags)
    resolution = pixels_per_inch(tags)
    more: dict[str, object] = {"exif": b"Exif\0\0" + exif} if exif and len(exif) <= _MOST_EXIF else {}
    if tags.raw(XMP):
        more["xmp"] = tags.raw(XMP)
    if resolution:
        more["dpi"] = tuple(round(value) for value in resolution)
    if profile:
        more["icc_profile"] = profile
    image.save(file, "JPEG", quality=_QUALITY, subsampling=0, **more)
    data = file.getvalue()
    blocks = tags.raw(RESOURCES)
    if not blocks or len(blocks) > _MOST_BLOCKS:
        return data
    (length,) = struct.unpack_from(">H", data, 4)  # the first segment, after which others may stand
    segment = b"\xff\xed" + struct.pack(">H", 2 + len(_BLOCKS_MARK) + len(blocks)) + _BLOCKS_MARK + blocks
    return data[: 4 + length] + segment + data[4 + length :]
