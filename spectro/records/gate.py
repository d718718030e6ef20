"""What is found of readings before they are used."""

import enum
from dataclasses import dataclass


class Law(enum.StrEnum):
    """What every print obeys, or nearly every one."""

    PAPER_LIGHTEST = "paper lightest"
    FULL_INK_DARK = "full ink dark"
    MORE_INK_DARKER = "more ink darker"
    HUES = "hues of full channels"
    BLACK_NEUTRAL = "black prints no colour"
    NEIGHBOURS = "like recipes, like colours"
    NOT_TOO_BRIGHT = "no brighter than paper can be"
    NOT_TOO_DARK = "lighter than black ink"
    SMOOTH_SPECTRA = "smooth spectra"
    NOT_CUT_OFF = "values not cut off"
    FINE_VALUES = "values finer than hundredths"
    PAPER_ABSORBS = "paper less than a perfect white"
    ONE_PAPER = "one bare paper"
    STEADY = "one scale from first to last"
    NOT_TOO_DEEP = "black no deeper than ink can be"


class GateCause(enum.StrEnum):
    """What most likely went wrong: the mistake that, undone, lets the readings obey again."""

    INVERTED = "device values count the other way"
    CHANNELS = "channels exchanged"
    CHANNEL_SCALE = "one channel on another scale"
    ROWS = "rows shifted against the chart"
    ORDER = "another chart, another order, or strips misread"
    REVERSED = "wavelengths in reverse order"
    PERCENT = "reflectance a hundred times too large or too small"
    SCALE = "reflectance on a wrong scale"
    PARTWAY = "lamp, white reference or backing changed partway"
    SQUARED = "reflectance squared, or another power of it"
    NOISE = "columns mixed up, or readings of something else"
    PAPER_PATCH = "the paper patch misread"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenLaw:
    """One law that readings break."""

    law: Law
    found: float
    limit: float
    weight: float  # 1: enough by itself; 0.5: enough with another; 0: worth a question, never a reason to stop
    detail: str = ""  # which hues, which wavelengths
    patches: tuple[str, ...] = ()  # ids where single patches show it


@dataclass(frozen=True, slots=True, kw_only=True)
class GateFinding:
    """What is told of one broken law, in a command's JSON."""

    finding: str
    patches: tuple[str, ...]
    cause: str
    insisted: str  # the reason for going on all the same; "" where nobody had to insist


@dataclass(frozen=True, slots=True, kw_only=True)
class GateReport:
    """The laws that readings break, and the likeliest mistake behind them."""

    broken: tuple[BrokenLaw, ...] = ()
    cause: GateCause = GateCause.UNKNOWN
    cause_detail: str = ""  # which channels, by how many rows
    judged: tuple[Law, ...] = ()  # the laws that these readings could be judged by

    @property
    def stops(self) -> bool:
        """Whether the readings are not to be used unless a person insists."""
        return sum(law.weight for law in self.broken) >= 1
