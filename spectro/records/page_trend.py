"""What changes from place to place on the pages of a print, as its own readings tell."""

from dataclasses import dataclass
from enum import StrEnum


class TrendKind(StrEnum):
    """What changes."""

    INK = "an ink fades along the page"
    ALL_INKS = "all inks change along the page"
    LIGHT = "the light of the reading changes along the page"
    GLOW = "more or less ultraviolet along the page"
    PAGE = "a page differs from the others"
    BANDS = "an ink lacks in bands"


@dataclass(frozen=True, slots=True, kw_only=True)
class PageTrend:
    """One thing that changes over a page, or from page to page."""

    page: int
    kind: TrendKind
    what: TrendKind  # what a page that differs differs by; else the kind itself
    ink: str  # "" where it is no ink
    axis: str  # "row" or "column" along which most of it changes; "" for a whole page, and for bands
    first: int  # line where most ink or light is
    last: int  # line where least is
    share: float  # of the ink, of the density of all inks, of the light, or of white: between the places that differ most
    p95: float  # ΔE00 from the middle, 95th percentile over the patches
    rms: float  # the same, root mean square
    limit: float
    lead: float  # how many times more this explains than the next best explanation
    lines: str = ""  # of bands, in words


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendsTold:
    """What was found of the pages of a print. told: False where its readings cannot tell."""

    told: bool
    why: str  # it cannot be told; "" where it can
    trends: tuple[PageTrend, ...]
    change: float  # ΔE00 from the middle, 95th percentile: the most that anything smooth seems to change
    patches: int
