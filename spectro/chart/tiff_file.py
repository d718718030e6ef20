"""A TIFF file of one picture, any number of channels, 8 or 16 bits, written strip by strip; without a profile, or with one.

Baseline and "Separated" pictures of [TIFF-6.0] (Image File Directory, CMYK Images), compressed by Deflate with the
horizontal predictor, little-endian. Written here because large pages must not lie in memory as a whole, and because
separations of more than four inks must say so themselves: InkSet 2, NumberOfInks, InkNames, and no extra samples.
"""

import struct
import zlib
from collections.abc import Iterable
from dataclasses import dataclass

from spectro.chart.channels import CMYK, GREY, RGB, paper_value
from spectro.chart.page_marks import page_marks
from spectro.chart.raster import page_size_px, raster_bands
from spectro.errors import InputError
from spectro.records.arrays import AnyArray
from spectro.records.chart import Chart

_SHORT, _LONG, _ASCII, _RATIONAL, _UNDEFINED = 3, 4, 2, 5, 7
_SIZES = {_SHORT: "H", _LONG: "I"}
_MOST_BYTES = 2**32 - 2**16


@dataclass(frozen=True, slots=True, kw_only=True)
class TiffPicture:
    """What the file says of its picture."""

    height: int
    width: int
    channels: int
    bits: int  # 8 or 16
    photometric: int  # 1 grey, black is zero; 2 RGB; 5 separated; 8 CIE L*a*b*
    inks: tuple[str, ...] = ()  # names, for separations other than CMYK
    dpi: int = 300
    rows_a_strip: int = 64
    description: str = ""
    software: str = "spectro"
    profile: bytes = b""  # of the colours of the picture; none: it says nothing of them


def pack_tiff(picture: TiffPicture, strips: Iterable[AnyArray]) -> bytes:
    """Return the file of a picture. strips: (rows, width, channels) from top to bottom, each `rows_a_strip` high but the last.

    Raises InputError where the packed file would be larger than a TIFF can be.
    """
    body = bytearray(struct.pack("<2sHI", b"II", 42, 0))
    offsets: list[int] = []
    sizes: list[int] = []
    for strip in strips:
        packed = zlib.compress(_predicted(strip), 6)
        offsets.append(len(body))
        sizes.append(len(packed))
        body += packed
        if len(body) > _MOST_BYTES:
            raise InputError("a page of more than 4 GB", "a smaller one", "Choose a lower resolution.")
    if len(body) % 2:
        body.append(0)
    _append_directory(body, picture, offsets, sizes)
    return bytes(body)


def _predicted(strip: AnyArray) -> bytes:
    """Return the bytes of the differences of neighbouring pixels, channel by channel."""
    kind = "<u2" if strip.dtype.itemsize == 2 else "u1"
    differences = strip.copy()
    differences[:, 1:] -= strip[:, :-1]
    return differences.astype(kind, copy=False).tobytes()


def _append_directory(body: bytearray, picture: TiffPicture, offsets: list[int], sizes: list[int]) -> None:
    separated = picture.photometric == 5
    ascii_tags = {270: picture.description, 305: picture.software}
    entries: list[tuple[int, int, int, bytes]] = []  # tag, type, count, data

    def add(tag: int, kind: int, values: list[int]) -> None:
        entries.append((tag, kind, len(values), struct.pack(f"<{len(values)}{_SIZES[kind]}", *values)))

    add(256, _LONG, [picture.width])
    add(257, _LONG, [picture.height])
    add(258, _SHORT, [picture.bits] * picture.channels)
    add(259, _SHORT, [8])  # Deflate
    add(262, _SHORT, [picture.photometric])
    add(273, _LONG, offsets)
    add(274, _SHORT, [1])
    add(277, _SHORT, [picture.channels])
    add(278, _LONG, [picture.rows_a_strip])
    add(279, _LONG, sizes)
    for tag in (282, 283):
        entries.append((tag, _RATIONAL, 1, struct.pack("<II", picture.dpi, 1)))
    add(284, _SHORT, [1])
    add(296, _SHORT, [2])
    add(317, _SHORT, [2])
    if separated:
        add(332, _SHORT, [2 if picture.inks else 1])
        add(334, _SHORT, [picture.channels])
    if separated and picture.inks:
        names = b"".join(name.encode("ascii") + b"\0" for name in picture.inks)
        entries.append((333, _ASCII, len(names), names))
    for tag, text in ascii_tags.items():
        data = text.encode("ascii", "replace") + b"\0"
        entries.append((tag, _ASCII, len(data), data))
    if picture.profile:
        entries.append((34675, _UNDEFINED, len(picture.profile), picture.profile))  # [ICC.1-2022] embedding in TIFF
    entries.sort()
    directory = bytearray(struct.pack("<H", len(entries)))
    outside = len(body) + 2 + 12 * len(entries) + 4
    values = bytearray()
    for tag, kind, count, data in entries:
        if len(data) <= 4:
            where = data.ljust(4, b"\0")
        else:
            where = struct.pack("<I", outside + len(values))
            values += data + b"\0" * (len(data) % 2)
        directory += struct.pack("<HHI", tag, kind, count) + where
    struct.pack_into("<I", body, 4, len(body))
    body += directory + struct.pack("<I", 0) + values


FULL = {16: 65535, 8: 255}
"""The integer of device value 1, by bits; 65535 is 257 times 255, so that whole steps of 1/255 print the same in both."""


def tiff_bytes(chart: Chart, page: int, bits: int = 16) -> bytes:
    """Return a page, counted from 1, as a TIFF file at the recipe's resolution. bits: 16 or 8."""
    dpi, channels = chart.recipe.page.resolution_dpi, chart.channels
    height, width = page_size_px(chart.page_mm, dpi)
    picture = TiffPicture(
        height=height,
        width=width,
        channels=len(channels),
        bits=bits,
        photometric={RGB: 2, GREY: 1}.get(channels, 5),
        inks=() if channels in (RGB, GREY, CMYK) else channels,
        dpi=dpi,
        description=f"Chart {chart.chart_id}, page {page} of {chart.pages}",
    )
    paper = (paper_value(channels),) * len(channels)
    strips = raster_bands(page_marks(chart, page), chart.page_mm, dpi, FULL[bits], paper, picture.rows_a_strip)
    return pack_tiff(picture, strips)


def page_file_name(page: int, bits: int = 16) -> str:
    """Return the name of a page's TIFF file.

    >>> page_file_name(3), page_file_name(3, 8)
    ('page-03.tif', 'page-03-8-bit.tif')
    """
    return f"page-{page:02d}{'-8-bit' if bits == 8 else ''}.tif"
