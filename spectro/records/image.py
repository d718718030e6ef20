"""What conversion of pictures was asked for, and what came of it."""

from dataclasses import dataclass, field

from spectro.records.arrays import AnyArray
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
    wall_lux: float | None = None  # light of a dim place that pictures are lightened for; None: not
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
class MadeStrip:
    """A control strip above a converted picture."""

    written: str  # file with the list of its patches
    aim: str  # that they are recipes of
    patches: int
    paper_tint: bool  # in the colour of the other print's paper


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
    curve: str = ""  # file of the linearising curve; its numbers belong to no profile
    strip: MadeStrip | None = None  # above the picture
    link: str = ""  # file of the device link that was used instead of two profiles
    pictures: tuple[ConvertedPicture, ...] = ()
    refused: tuple[RefusedPicture, ...] = field(default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureInPrint:
    """What a paper does to one picture, by one intent: shares 0 to 1 of its pixels."""

    paper: str  # name of the profile, or of the condition
    intent: str
    black_compensation: bool
    outside: float  # that change by more than the limit although the print comes as near as it can
    outside_delta_e_2000: float  # mean of these
    change_delta_e_2000: float  # mean over all pixels, as this intent prints them, relative to the paper
    change_p95: float
    blocked: float  # that the print's black swallows although the picture tells them apart
    blown: float  # that become bare paper although the picture tells them from white
    lost_chroma: tuple[tuple[str, float, float], ...]  # hue, share of pixels, mean C* lost, for hues that lose most
    first_shadow: int | None  # of 255: the first grey that leaves the print's black
    last_highlight: int | None  # the last that leaves the paper


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectedPicture:
    """What was found of one picture."""

    source: str
    kind: str
    width: int
    height: int
    bits: int
    space: str  # "rgb", "grey" or "cmyk"
    profile: str  # name of the one it carries; "" for none
    read_as: str
    pixels_per_inch: float | None  # across, at the size of the print; None where nothing says how large that is
    print_mm: tuple[float, float] | None
    cut_white: float  # share of pixels at the upper end of all channels
    cut_black: float
    comb: float | None  # as `checks/picture_faults.py` has them
    stairs: float | None
    blocks: float | None
    detail: float | None
    in_print: PictureInPrint | None
    findings: tuple[str, ...]  # names of what was found, worst first
    said: tuple[str, ...]  # the same as sentences
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """All that one run looked at."""

    profile: str  # name of the profile or condition they are to be printed with; "" for none
    pictures: tuple[InspectedPicture, ...]
    refused: tuple[RefusedPicture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewSettings:
    """How a preview is to be seen."""

    beside_white: bool = True  # as it looks next to white, paper tint and all; else by itself on the wall
    flare: float = 0.0  # share of the light that the surface mirrors
    longest: int = 900  # pixels of the longer side
    wall_lux: float | None = None  # light of a dim place that the picture is lightened for; None: not


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Proof:
    """One picture as one paper and one intent would show it, in the display's numbers."""

    numbers: PictureInPrint
    pixels: AnyArray  # (rows, columns, 3), uint8
    lines: AnyArray  # the same with lines around what cannot be printed, stripes over what the display cannot show
    display_short: float  # share of pixels that the display cannot show
    white_lab: tuple[float, float, float]  # of the paper, absolute
    levels: tuple[tuple[float, float], ...]  # ΔE00, share of pixels above it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Preview:
    """A picture on several papers and by several intents, side by side."""

    source: str
    written: str
    width: int
    height: int
    read_as: str
    display: str  # in words
    display_profile: bytes  # b"": sRGB
    view: ViewSettings
    original: AnyArray  # (rows, columns, 3), uint8
    proofs: tuple[Proof, ...]
    choice: "PictureChoice"


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureChoice:
    """Which paper and intent a picture should be printed with, and why."""

    number: int  # of the chosen among the proofs
    paper: str
    intent: str
    reason: str  # name of what decided: "detail", "colours", "even", "same", "only"
    words: str  # a sentence
    scores: tuple[tuple[str, str, float, float], ...]  # paper, intent, share of detail lost, mean ΔE00


@dataclass(frozen=True, slots=True)
class PictureField:
    """One field of a test picture; lengths in mm from its left and top."""

    key: str
    number: int  # as it stands beside it; 0: it belongs to the field before
    name: str
    left: float
    top: float
    wide: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnTestPicture:
    """A test picture that was made, with its sheet."""

    folder: str
    files: tuple[str, ...]  # their names in it
    width: int
    height: int
    pixels_per_inch: int
    print_mm: tuple[float, float]
    patches: int  # to be measured; 0: none
    fields: tuple[PictureField, ...]
    small: AnyArray  # (rows, columns, 3), uint8, sRGB: as the sheet shows it


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureStrip:
    """A test strip that was written."""

    source: str
    written: str
    profile: str  # file or name on the shelf
    for_print: bool
    device_space: str
    captions: tuple[tuple[str, ...], ...]  # row by row, the options that make each
    width: int
    height: int
    pixels_per_inch: float
    print_mm: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionPrint:
    """What a picture of an edition was converted with, as the shelf keeps it."""

    format: int = 1
    title: str
    date: str  # ISO 8601 in UTC
    condition: str  # name on the shelf
    picture: str  # name of its file
    picture_sha256: str
    width: int
    height: int
    profile: str  # its name
    profile_sha256: str
    read_as: str  # which colours the picture's numbers stood for
    from_sha256: str = ""  # of a profile given for the picture's numbers
    intent: str
    black_compensation: bool
    wall_lux: float | None = None
    curve: str = ""
    curve_sha256: str = ""
    as_printed_by: str = ""
    as_printed_by_sha256: str = ""
    paper_tint: bool = False
    bits: int
    dithered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionState:
    """A print of an edition, the prints before it, and what has changed since the first."""

    now: EditionPrint
    earlier: tuple[EditionPrint, ...]  # oldest first
    changed: tuple[str, ...]  # sentences: of picture, profile and settings
    printer: tuple[str, ...]  # sentences: of the printer, by what the shelf holds
    moved: bool  # a control print since was over its limit
