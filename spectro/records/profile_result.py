"""What building a profile gave, for messages and JSON."""

from dataclasses import dataclass

from spectro.records.gate import GateFinding
from spectro.records.picture import PictureReach
from spectro.records.print_sheets import ONE_SHEET, SheetsTogether
from spectro.records.separation_effect import LeanCost, SeparationEffect
from spectro.records.statistics import DifferenceStatistics


@dataclass(frozen=True, slots=True, kw_only=True)
class SuspectPatch:
    """A reading far from what its neighbours say."""

    id: str
    name: str
    device: tuple[float, ...]  # 0 to 1
    delta_e_2000: float  # from the prediction that leaves it out
    deviations: float  # the same in standard deviations of that prediction, largest of L*, a*, b*
    position: tuple[int, int, int] | None  # page, row, column from 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What a profile can reach before anyone prints with it."""

    cross_validation: DifferenceStatistics
    cross_validation_method: str
    repeat_noise: float | None  # mean ΔE00 of one reading from the mean of its repeats; None: too few repeats
    repeat_readings: int  # readings of recipes that were read more than once
    model_noise: float  # mean ΔE00 of the noise of one reading as the model sees it
    suspects: tuple[SuspectPatch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintForecast:
    """What prints through a profile are expected to be off by, ΔE00. The parts add up to the mean as squares."""

    mean: float
    mean_range: tuple[float, float]  # in which the mean of a print will lie
    p95: float
    p95_range: tuple[float, float]
    noise: float  # one reading
    noise_from: str
    model: float  # the description of the printer, between and at the patches
    tables: float  # interpolation and rounding
    sheet: float  # another sheet
    sheet_from: str  # "stated", or what tells it
    method: str
    unsampled: float = 0.0  # share of all device values that lie so far from every patch that nothing is known of them
    unsampled_mean: float = 0.0  # ΔE00 that is to be expected there
    unsampled_colours: tuple[str, ...] = ()  # what they are called, those with most first


@dataclass(frozen=True, slots=True, kw_only=True)
class PathLattice:
    """The table that a print path itself seems to read, as the readings show it."""

    nodes: int | None  # an axis; None: no such table, or too few readings to see one
    levels: float | None  # device levels of 255 from node to node
    gain: float  # logarithm of the likelihood with the best table found over that without one


@dataclass(frozen=True, slots=True, kw_only=True)
class BlackPrinted:
    """The black of a profile of inks, and how black ink is used."""

    share: str  # how much black against L*: a name, or "file"
    ceiling: float  # most black ink, percent
    lightness: float  # L* of the darkest neutral colour, relative to the paper: what black prints
    darkest: float  # L* of the darkest colour within the limits, which may be tinted
    inks: tuple[float, ...]  # percent of each channel that black prints with
    names: tuple[str, ...]  # of the channels
    along_greys: tuple[tuple[float, ...], ...]  # rows of L* and the percent of each channel
    lights: tuple[tuple[str, str], ...] = ()  # light inks, each with its full ink


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalAreaFound:
    """The total area coverage that a profile of inks keeps, and why; all in percent."""

    percent: float
    decided_by: str  # "stated", "measured", "darkening", "lean" or "usual"
    measured: float  # the largest total of the chart
    darkening: float  # from which on more ink darkens no more


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileBuild:
    """A profile that was built and written."""

    verdict: str
    profile: str  # path of the file
    name: str  # description in the profile
    profile_id: str  # hexadecimal
    icc_version: str
    grid: int  # what was asked for
    grid_words: str  # what the tables have
    patches: int  # rows read
    recipes: int  # different device values among them
    measurement_condition: str  # "M0" … or "not stated"
    light: str
    white_lab: tuple[float, float, float]  # absolute
    black_lab: tuple[float, float, float]
    forecast: Forecast
    in_print: PrintForecast
    lattice: PathLattice
    round_trip: DifferenceStatistics
    seconds: float
    grey_aim: str = ""  # tint of greys in the perceptual and saturation tables; "" where none was asked for
    even_note: str = ""  # that nobody knows whether the pages are even; "" where they are, or where that was not asked
    light_note: str = ""  # what prints made for another light are under D50; "" where the light is D50
    limits_note: str = ""  # limits of the user's own that were used; "" where there are none
    source_gamut: str = ""  # what the perceptual and saturation tables make room for: a name, or "pictures"
    pictures: tuple[PictureReach, ...] = ()  # those the source gamut comes from
    gate: tuple[GateFinding, ...] = ()  # what was found of the readings before they were used
    sheets: SheetsTogether = ONE_SHEET  # which sheets were read and what they brought
    total_area: TotalAreaFound | None = None  # None: RGB
    black: BlackPrinted | None = None  # None: RGB
    separation: SeparationEffect | None = None  # what other settings would do; None: RGB, or not asked for
    lean: LeanCost | None = None  # what a lean separation saves and costs; None: not lean
