"""What a device link is to do, and what it does. Loads nothing heavy."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from spectro.errors import InputError
from spectro.records.conditions import RenderingIntent
from spectro.records.statistics import DifferenceStatistics


class Kept(StrEnum):
    """Which inks of the source stay what they are; unprinted paper stays bare in any case."""

    BLACK = "black"  # full black alone
    BLACK_RAMPS = "black-ramps"  # every amount of black alone
    SOLIDS = "solids"  # every amount of cyan, of magenta, of yellow alone
    SECONDARIES = "secondaries"  # any two of cyan, magenta and yellow
    SHADES = "shades"  # cyan, magenta or yellow with black


class BlackOf(StrEnum):
    """Whose black colours carry that are not kept."""

    SOURCE = "from"  # as much as in the source, moved to the target's tones, as far as the colour allows it
    TARGET = "to"  # as the target's own profile has it


USUALLY_KEPT = (Kept.BLACK_RAMPS, Kept.SOLIDS, Kept.SECONDARIES)


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkSettings:
    """Settings of one link. Checked once, right from then on."""

    keep: tuple[Kept, ...] = USUALLY_KEPT
    intent: RenderingIntent = RenderingIntent.RELATIVE
    black_compensation: bool = False  # for perceptual and relative
    black_of: BlackOf = BlackOf.SOURCE
    total_area: float | None = None  # percent; None: what the target's profile keeps
    grid: int = 17  # grid points per axis
    icc_version: int = 2
    date: datetime | None = None  # in UTC; None: the later date of the two profiles

    def __post_init__(self) -> None:
        """Refuse what cannot be built."""
        if not 9 <= self.grid <= 25:
            raise InputError(f"grid {self.grid}", "9 to 25 grid points per axis", "Choose another `grid`; 17 is usual.")
        if self.icc_version not in (2, 4):
            raise InputError(f"ICC version {self.icc_version}", "2 or 4", "Choose another `icc_version`.")
        if self.total_area is not None and not 100 <= self.total_area <= 400:
            raise InputError(f"a total area of {self.total_area:g} %", "100 to 400 %", "Choose another `total_area`.")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptInks:
    """One kind of inks that stay pure, and what that costs in colour."""

    inks: tuple[str, ...]  # names; none: bare paper
    full_only: bool  # the full ink, not its lighter amounts
    off: DifferenceStatistics  # from the colours of the source
    unkept_off: DifferenceStatistics  # the same, converted by the two profiles without keeping anything
    largest_at: tuple[float, ...]  # source inks, 0 to 1
    foreign: float  # largest amount of any other ink, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkFigures:
    """What a link does, found by sending colours through its bytes."""

    kept: tuple[KeptInks, ...]
    agreement: DifferenceStatistics | None  # with the two profiles one after the other, in both gamuts and away from kept inks
    agreement_all: DifferenceStatistics  # everywhere
    step: float  # 95th percentile of change of the print over change of the source, across the borders of kept inks
    step_largest: float
    step_unkept: float  # the 95th percentile of the two profiles
    total: float  # largest sum of inks, 1 for 100 %
    lacked_in_light: float  # most of any ink in light colours whose source has none of it, 0 to 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkResult:
    """A link that was made."""

    written: str
    name: str
    source: str  # what the two ends are called
    target: str
    settings: LinkSettings
    total_limit: float  # 1 for 100 %
    total_by: str  # what decided it: "stated", "profile", "tables", "data"
    figures: LinkFigures
    notes: tuple[str, ...] = ()
