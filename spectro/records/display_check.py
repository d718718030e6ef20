"""A display's readings, what it is meant to do, and what was found."""

from dataclasses import dataclass
from enum import Enum, auto

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, frozen_floats, keep_floats

Pair = tuple[float, float]
Place = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DisplayReadings:
    """Colours of a display as a meter read them."""

    rgb: FloatArray  # (n, 3), signal 0 to 1
    xyz: FloatArray  # (n, 3), cd/m²; Y is the luminance
    places: tuple[Place | None, ...]  # row and column on the screen, from 1; None: not stated, taken as the middle
    lines: tuple[int, ...]
    origin: str

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        for name in ("rgb", "xyz"):
            values = frozen_floats(getattr(self, name))
            if values.shape != (len(self.places), 3):
                raise ShapeError(f"{name} has shape {values.shape}; expected ({len(self.places)}, 3)")
            object.__setattr__(self, name, values)


@dataclass(frozen=True, slots=True, kw_only=True)
class AimWishes:
    """What the user said of the aim; None for what was left open."""

    space: str | None = None  # None: sRGB, to compare with
    luminance: float | None = None
    white: str | None = None
    gamma: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DisplayAim:
    """What a display is to show."""

    name: str
    chosen: bool  # the user named the space; else it only serves to compare with
    primaries: FloatArray  # (3, 2), x, y of red, green, blue
    white_xy: Pair
    white_from: str  # "sRGB", "paper in F8"
    lowest: float  # cd/m², luminance of white that is aimed at: a range, or one number twice
    highest: float
    luminance_from: str
    curve: str  # "sRGB", "BT.1886", "2.2"
    lux_for_each: float | None = None  # lx on the print for each cd/m² of the screen; None: no print beside it

    def __post_init__(self) -> None:
        """Keep a read-only copy."""
        keep_floats(self, "primaries")


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayWhite:
    """White and black."""

    luminance: float  # cd/m²
    stops: float  # above the aim's nearest luminance
    xy: Pair
    uv: Pair
    kelvin: float
    duv: float
    away: float  # Δu'v' from the aim's white
    gains: tuple[float, float, float] | None  # light of red, green, blue that gives the aim's white, largest 1
    black: float | None  # cd/m²
    contrast: float | None  # None: black not read, or below what the meter sees


@dataclass(frozen=True, slots=True, kw_only=True)
class GreyStep:
    """One step of the grey ramp."""

    signal: float  # 0 to 1
    luminance: float  # cd/m²
    gamma: float  # of this step, black taken off; NaN at black and white
    delta_lightness: float  # L* above the aim's
    away: float  # Δu'v' from the display's own white; NaN for a step too dark to judge


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayTones:
    """The grey ramp against the aim's curve."""

    steps: tuple[GreyStep, ...]
    gamma: float  # mean of the steps' gammas between 0.1 and 0.95
    largest: float  # ΔL* of the largest deviation, with its sign
    largest_at: float  # its signal
    mean: float  # mean |ΔL*|
    tint: float  # largest Δu'v' of a grey from the display's white
    tint_at: float
    falls: float | None  # signal of the first step that is darker than the one before


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayPrimary:
    """One primary or secondary."""

    name: str
    xy: Pair
    uv: Pair
    away: float  # Δu'v' from the aim's
    share: float  # of white's luminance


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """How much of a colour space a display can show."""

    space: str
    area: float  # share of the space's triangle in u'v' that is covered
    area_size: float  # the display's triangle over the space's
    volume: float  # share of the space's CIELAB solid that is covered
    volume_size: float  # the display's solid over the space's


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayGamut:
    """Primaries, coverage and additivity."""

    primaries: tuple[DisplayPrimary, ...]  # red, green, blue
    secondaries: tuple[DisplayPrimary, ...]  # those that were read
    coverage: tuple[Coverage, ...]  # the aim first
    additivity: float  # luminance of red + green + blue over that of white, less 1, black taken off
    secondary_additivity: float | None  # largest of the secondaries, same kind
    exchanged: tuple[str, ...] = ()  # what red, green and blue seem to be where their names are exchanged, else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EvenLevel:
    """One grey level read at several places."""

    signal: float
    places: tuple[Place, ...]
    luminance: tuple[float, ...]  # cd/m², by place
    relative: tuple[float, ...]  # to the middle, less 1
    away: tuple[float, ...]  # Δu'v' from the middle
    should: float  # limits of the relative deviation; 0: none for this level
    shall: float
    largest: float  # |relative|, largest
    largest_at: Place
    largest_away: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayFindings:
    """What a display is held against, and what was found of it: None or () where it was not read, and nothing is said of it."""

    aim: DisplayAim
    white: DisplayWhite
    tones: DisplayTones | None
    gamut: DisplayGamut | None
    evenness: tuple[EvenLevel, ...]


class DisplayCause(Enum):
    """Why something of a display is to be changed."""

    EXCHANGED = auto()  # primaries stand for each other
    AUTOMATIC = auto()  # it changes the picture by itself
    NARROW = auto()  # it does not cover the aim's colours
    WIDE = auto()  # it shows more colours than an aim that was chosen
    LUMINANCE = auto()
    CONTRAST = auto()  # black is too light
    SHADOWS = auto()  # dark greys are as black as black
    WHITE = auto()  # the colour of white
    GAMMA_LOW = auto()  # all greys lighter than the aim's
    GAMMA_HIGH = auto()  # all darker
    CURVE = auto()  # greys lighter here and darker there
    TINT = auto()  # the colour of greys
    UNEVEN = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingAdvice:
    """One thing to change, in the order in which to change it."""

    setting: str
    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DisplayCheck:
    """Everything that was found of a display."""

    verdict: str
    origin: str
    readings: int
    aim: DisplayAim
    white: DisplayWhite
    tones: DisplayTones | None
    gamut: DisplayGamut | None
    evenness: tuple[EvenLevel, ...]
    advice: tuple[SettingAdvice, ...]
    notes: tuple[str, ...]
