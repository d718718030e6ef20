"""What was found of a print in its light and of the screen beside it."""

from dataclasses import dataclass
from enum import Enum, auto

from spectro.records.display_check import DisplayCheck
from spectro.records.limits import Limits

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreenRow:
    """One screen luminance beside the print."""

    luminance: float  # cd/m², white of the screen
    stops: float  # how many stops the print looks darker than the screen; below 0: lighter
    lux: float  # illuminance at which this paper's white has that luminance
    note: str  # what this luminance is


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintView:
    """A paper in its light, in the numbers a screen is set by."""

    paper: str  # where the paper white is from
    light: str
    lux: float
    lux_from: str  # "measured", "ISO 3664 P2"
    luminance_factor: float  # Y of the paper, 0 to 1, perfect diffuser 1
    luminance: float  # cd/m², of the paper's white
    light_luminance: float  # cd/m², of a perfect diffuser there
    white_xy: Pair  # of the paper in the light, 2° observer
    white_uv: Pair  # u', v'
    light_xy: Pair
    light_uv: Pair
    kelvin: float  # correlated colour temperature of the paper's white; NaN: none
    duv: float
    away: dict[str, float]  # Δu'v' of the paper's white from D50 and D65
    black: float | None  # cd/m², darkest print with what the surface mirrors; None: not known
    contrast: float | None  # white : black there
    mirrored: float  # share of the light that was taken to be mirrored
    rows: tuple[ScreenRow, ...]


class LightMeasure(Enum):
    """What of a viewing light is held against a limit."""

    COLOUR = auto()
    ILLUMINANCE = auto()
    RENDERING = auto()
    SINGLE_COLOURS = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class LightLimit:
    """One figure of a viewing light beside the limit it is held against."""

    short: str  # "colour"
    what: str
    found: str
    limit: str  # "" where there is none
    kept: bool | None  # None: there is no limit, or it cannot be judged
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LightCheck:
    """A viewing light from its spectrum."""

    name: str
    origin: str
    power: tuple[float, ...]  # 360 to 780 nm by 1 nm, largest 1
    kelvin: float  # NaN: none
    duv: float
    uv_10: Pair  # u', v', 10° observer
    rendering: tuple[float, ...]  # R1 to R14; () where the light has none
    excitation: float  # ultraviolet as a multiple of D50's
    limits: tuple[LightLimit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewingPlan:
    """Screen and print: what to set, and what was found."""

    verdict: str
    view: PrintView | None
    light: LightCheck | None  # None: the light is a named one, or none was given
    display: DisplayCheck | None
    practice: tuple[str, ...]  # sentences; each says that it is common practice
    cautions: tuple[str, ...]
    limits: Limits  # of viewing, that decided
