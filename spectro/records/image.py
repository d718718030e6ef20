"""What conversion of pictures was asked for, and what came of it."""

from dataclasses import dataclass, field

from spectro.records.conditions import RenderingIntent


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureSettings:
    """How pictures are converted and written."""

    intent: RenderingIntent = RenderingIntent.PERCEPTUAL
    black_compensation: bool = True  # for perceptual and relative; the other intents have none
    bits: int | None = None  # a channel of what is written, 8 or 16; None: as many as the picture has
    dither: bool = False  # of 8 bits made from a finer result
    file_type: str = ""  # "tiff", "png" or "jpeg"; "": as the picture, TIFF where that would lose something
    untagged: bool = False  # the profile is left out of what is written
    paper_tint: bool = False  # of a printing condition that is shown on another


@dataclass(frozen=True, slots=True, kw_only=True)
class ConvertedPicture:
    """One picture that was converted."""

    source: str
    written: str
    width: int
    height: int
    bits: int  # of what was written
    source_bits: int
    intent: str
    black_compensation: bool
    read_as: str  # which colours its numbers stood for, in words
    channels: int  # of colour, written
    tagged: bool
    dithered: bool
    seconds: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedPicture:
    """One picture that could not be converted, and why."""

    source: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """All that one run converted."""

    profile: str  # file or name on the shelf
    profile_name: str
    device_space: str  # "RGB", "CMYK" …
    for_print: bool  # the profile is an output profile
    condition: str = ""  # name on the shelf
    settings: str = ""  # of the driver, as the shelf keeps them
    as_printed_by: str = ""  # name of the profile whose print is shown
    pictures: tuple[ConvertedPicture, ...] = ()
    refused: tuple[RefusedPicture, ...] = field(default=())
