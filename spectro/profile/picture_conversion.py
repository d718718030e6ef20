"""Rows of a picture from one profile's numbers to another's, by a kept colour engine, the same whichever rows come together.

The engine is a general library; what it does to a whole picture it does to each row. References: [ICC.1-2022] rendering
intents; [ISO-18619] black point compensation. Dither: uniform noise of one step of the result, the same for the same row of
a picture; whole steps, paper white and full ink among them, stay as they are; common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

import numpy as np

from spectro.errors import TagError
from spectro.icc.header import Header
from spectro.icc.inspection import tag_parts
from spectro.icc.table_channels import CHANNELS
from spectro.icc.tag_types import LocalizedText, TextDescription
from spectro.records.arrays import AnyArray
from spectro.records.conditions import RenderingIntent

ENGINE_INTENTS = {
    RenderingIntent.PERCEPTUAL: 0,
    RenderingIntent.RELATIVE: 1,
    RenderingIntent.SATURATION: 2,
    RenderingIntent.ABSOLUTE: 3,
}
BLACK_COMPENSATION, FORGETFUL, EXACT = 0x2000, 0x40, 0x100
"""What the engine is told. Forgetful: it does not compare each pixel with the one before, which in 16 bits is seldom the same;
the numbers are no others. Exact: it makes no table of its own."""
_COMPENSATED = (RenderingIntent.PERCEPTUAL, RenderingIntent.RELATIVE)
PICTURE_SPACES = {b"GRAY": "grey", b"RGB ": "rgb", b"CMYK": "cmyk"}
ENGINE_SPACES = {"grey": "gray", "rgb": "rgb", "cmyk": "cmyk", "lab": "lab"}
_NEEDED = ("A2B", "B2A", "rTR", "gTR", "bTR", "kTR", "rXY", "gXY", "bXY")
_OTHER_CLASSES = {b"link": "a device link", b"abst": "an abstract profile", b"nmcl": "a list of named colours"}
_FULL = 65535 // 255
_SEED = 7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureProfile:
    """A profile as pictures are converted with it."""

    data: bytes
    name: str
    space: str  # "grey", "rgb" or "cmyk"; of pictures in CIELAB "lab"
    channels: int
    for_print: bool
    header: Header

    @property
    def device_space(self) -> str:
        """Its colours as the header says them, such as "RGB"."""
        return self.header.colour_space.decode("latin-1").strip()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """One way from numbers to numbers."""

    source: PictureProfile
    target: PictureProfile
    intent: RenderingIntent
    black_compensation: bool
    exact: bool = False  # through its tables as they are; else through one of the engine's own, which is faster

    @property
    def compensated(self) -> bool:
        """Whether the blacks of both are brought together."""
        return self.black_compensation and self.intent in _COMPENSATED


def picture_profile(data: bytes) -> PictureProfile:
    """Return a profile that pictures can be converted with. Raises TagError for damaged ones and other classes."""
    header = Header.parse(data)
    if int.from_bytes(data[:4], "big") > len(data):
        raise TagError("a cut profile")
    if header.device_class in _OTHER_CLASSES:
        raise TagError(f"{_OTHER_CLASSES[header.device_class]}; expected the profile of a printer, a screen or a colour space")
    channels = CHANNELS.get(header.colour_space)
    if channels is not None and header.colour_space.endswith(b"CLR"):
        raise TagError(
            f"a profile of {channels} inks; the colour engine that converts pictures takes those of CMYK and no more"
        )
    if channels is None or header.colour_space not in PICTURE_SPACES:
        raise TagError(f"a profile for {header.colour_space.decode('latin-1').strip()}; expected RGB, grey or CMYK")
    parts, fault = tag_parts(data)
    wrong = fault or next(
        (f"tag {one.signature}: {one.fault}" for one in parts if one.fault and one.signature[:3] in _NEEDED), ""
    )
    if wrong:
        raise TagError(wrong)
    tags = {one.signature: one.tag for one in parts}
    tag = tags.get("desc")
    text = tag.text if isinstance(tag, TextDescription | LocalizedText) else ""
    return PictureProfile(
        data=data,
        name=" ".join(text.split()),
        space=PICTURE_SPACES[header.colour_space],
        channels=channels,
        for_print=header.device_class == b"prtr",
        header=header,
    )


def srgb_picture_profile() -> PictureProfile:
    """Return sRGB as the colour engine itself describes it. [IEC-61966-2-1]"""
    import imagecodecs

    data: bytes = imagecodecs.cms_profile("srgb")
    return PictureProfile(data=data, name="sRGB", space="rgb", channels=3, for_print=False, header=Header.parse(data))


def lab_picture_profile() -> PictureProfile:
    """Return the profile of pictures in CIELAB, D50, relative to their white."""
    import imagecodecs

    data: bytes = imagecodecs.cms_profile("lab4")
    return PictureProfile(data=data, name="CIELAB", space="lab", channels=3, for_print=False, header=Header.parse(data))


def converted_rows(
    rows: AnyArray,
    steps: Sequence[Step],
    bits: int,
    *,
    cover_channels: int = 0,
    dither: bool = False,
    first: int = 0,
    out: AnyArray | None = None,
    curve: AnyArray | None = None,
) -> AnyArray:
    """Return rows (n, width, channels of the source) as (n, width, channels of the last target), uint8 or uint16 by bits.

    rows: uint8 or uint16; one channel where the source has three is grey. cover_channels: further ones that say how much of
    each pixel is there, and stay. dither: 8 bits from a result of 16. first: number of the first row in the picture, for the
    dither. out: an array of the result's shape and kind that may be used for it. curve: what to send for each number of the
    result, (65536, channels) uint16; three where the result is grey make three of it. Raises TagError where the colour
    engine finds no way from one profile to the next.
    """
    channels = rows.shape[2] - cover_channels
    colours = rows if not cover_channels else np.ascontiguousarray(rows[..., :channels])
    if channels == 1 and steps[0].source.channels == 3:
        colours = np.repeat(colours, 3, axis=2)
    wanted: type[np.unsignedinteger] = np.uint8 if bits == 8 else np.uint16
    for number, step in enumerate(steps):
        last = number == len(steps) - 1
        fine = dither or curve is not None or not last
        colours = _transformed(colours, step, np.uint16 if fine else wanted, None if fine or cover_channels else out)
    if curve is not None:
        colours = curve[colours, np.arange(curve.shape[1])]  # one channel of several curves becomes several
    if dither and bits == 8:
        colours = _dithered(colours, first)
    elif curve is not None and bits == 8:
        colours = ((colours.astype(np.uint32) + _FULL // 2) // _FULL).astype(np.uint8)
    if not cover_channels:
        return colours
    cover = rows[..., channels:]
    if cover.dtype != wanted:
        cover = (cover // _FULL).astype(np.uint8) if bits == 8 else cover.astype(np.uint16) * _FULL
    return np.concatenate([colours, cover], axis=2)


def _transformed(colours: AnyArray, step: Step, dtype: type[np.unsignedinteger], out: AnyArray | None) -> AnyArray:
    import imagecodecs

    flags = (BLACK_COMPENSATION if step.compensated else 0) | (FORGETFUL if colours.dtype == np.uint16 else 0)
    flags |= EXACT if step.exact else 0

    try:
        found: AnyArray = imagecodecs.cms_transform(
            colours,
            step.source.data,
            step.target.data,
            colorspace=ENGINE_SPACES[step.source.space],
            outcolorspace=ENGINE_SPACES[step.target.space],
            outdtype=dtype,
            intent=ENGINE_INTENTS[step.intent],
            flags=flags,
            out=None if step.target.channels == 1 else cast(Any, out),
        )
    except imagecodecs.CmsError as error:
        raise TagError("two profiles between which the colour engine finds no way; one of them is damaged") from error
    return found.reshape(*colours.shape[:2], step.target.channels)


def _dithered(colours: AnyArray, first: int) -> AnyArray:
    """Return 8 bits of 16 with noise that is the same for the same row."""
    found = np.empty(colours.shape, np.uint8)
    for number, row in enumerate(colours):
        noise = np.random.default_rng((_SEED, first + number)).integers(0, _FULL, row.shape, dtype=np.uint16)
        found[number] = (row.astype(np.uint32) + noise) // _FULL
    return found
