"""What the comparison of readings with predicted colours can find: words, records, nothing computed."""

from dataclasses import dataclass
from enum import StrEnum


class Seems(StrEnum):
    """What a strip or a sheet seems to be."""

    FITS = "fits"
    UNSURE = "unsure"  # fits nothing clearly
    # one strip, or strips among each other
    REVERSED = "reversed"
    SWAPPED = "swapped"
    SHIFTED_STRIPS = "shifted strips"  # every strip holds the next (or last) one
    SKIPPED_STRIP = "skipped strip"  # from here on every strip holds the next one
    REPEATED_STRIP = "repeated strip"  # holds another strip a second time
    SKIPPED_PATCH = "skipped patch"
    REPEATED_PATCH = "repeated patch"
    SHIFTED_PATCHES = "shifted patches"  # begun too late or too early, paper at one end
    BAD_PATCH = "bad patch"
    PERCENT_MIX = "percent mix"  # values a hundred times those of the others
    # the whole sheet: reading
    WRONG_PAGE = "wrong page"
    WRONG_CHART = "wrong chart"
    UPSIDE_DOWN = "page upside down"
    WRONG_CONDITION = "wrong measurement condition"
    WHITE_REFERENCE = "white reference off"
    BLACK_REFERENCE = "black reference off"
    # the whole sheet: printing
    THROUGH_PROFILE = "printed through a profile"
    ENHANCED = "printed with enhancement"
    WRONG_MEDIA = "wrong media setting"
    WRONG_BLACK = "wrong black ink"
    INK_MISSING = "ink missing or clogged"
    WET = "read while wet"
    UNKNOWN_DIFFERENCE = "differs throughout"


MENDED = (
    Seems.REVERSED, Seems.SWAPPED, Seems.SHIFTED_STRIPS, Seems.SKIPPED_STRIP, Seems.REPEATED_STRIP, Seems.SKIPPED_PATCH,
    Seems.REPEATED_PATCH, Seems.SHIFTED_PATCHES, Seems.BAD_PATCH, Seems.UPSIDE_DOWN, Seems.WRONG_PAGE,
)  # fmt: skip
"""What can be mended without a new reading, once that is asked for."""


class Offer(StrEnum):
    """What can be done. Nothing of it is done unasked."""

    KEEP = "keep"
    TURN = "turn"
    SWAP = "swap"
    READ_AGAIN = "read again"
    PRINT_AGAIN = "print again"


@dataclass(frozen=True, slots=True, kw_only=True)
class StripResult:
    """One strip as it was read."""

    strip: int  # counted from 0, in the order of reading
    seems: Seems
    confidence: float  # 0 to 1; how clearly this is ahead of the next best explanation
    offer: Offer
    partner: int | None = None  # the expected strip it seems to be, counted from 0; None: its own or unknown
    patches: tuple[int, ...] = ()  # places along the strip it concerns, counted from 0 in the expected strip
    difference: float = 0.0  # robust mean ΔE00 to what it seems to be
    other: float = 0.0  # the same to the next best explanation
    turned: bool = False  # it seems to be another strip, read from its other end
    sentence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFinding:
    """Something that concerns the whole sheet."""

    seems: Seems
    confidence: float  # 0 to 1
    offer: Offer
    detail: str = ""  # which page, which ink
    amount: float | None = None  # what was estimated, on the scale the sentence names
    before: float = 0.0  # robust mean ΔE00 to the prediction
    after: float = 0.0  # the same to the prediction with this fault in it
    sentence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetJudgement:
    """All that was found on one sheet. Nothing was changed."""

    strips: tuple[StripResult, ...]
    findings: tuple[SheetFinding, ...]

    @property
    def clean(self) -> bool:
        """Tell whether nothing at all was found."""
        return not self.findings and all(result.seems == Seems.FITS for result in self.strips)
