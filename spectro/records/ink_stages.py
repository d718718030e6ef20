"""What a press is set to before a profile: channel limits, linearisation, total limit; and what was found of each."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, frozen_floats


class Stage(StrEnum):
    """What is set behind a RIP, in the order in which each rests on those before it."""

    LIMITS = "limits"  # the most of each ink
    CURVES = "curves"  # linearisation
    TOTAL = "total"  # the most of all inks together


STAGES = tuple(Stage)
LIGHT_INKS = {
    "light cyan": "cyan",
    "light magenta": "magenta",
    "light yellow": "yellow",
    "light black": "black",
    "grey": "black",
    "light grey": "black",
}
"""Light inks by their names, with the full inks whose light tones they print."""


def light_channels(names: tuple[str, ...]) -> bool:
    """Tell whether light inks are among inks together with their full inks.

    >>> light_channels(("cyan", "light cyan")), light_channels(("cyan", "grey"))
    (True, False)
    """
    return any(LIGHT_INKS.get(name) in names for name in names)


class CurveAim(StrEnum):
    """What linearisation curves bring an ink's steps to."""

    TONE_VALUE = "tone-value"  # Murray-Davies, from density
    SPOT_TONE_VALUE = "spot-tone-value"
    LIGHTNESS = "lightness"  # even steps of L*
    OWN_CURVE = "own-curve"  # tone values of a file
    NEAR_NEUTRAL = "near-neutral"  # greys of cyan, magenta and yellow
    EARLIER = "earlier"  # what was printed when a profile was built


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkRamp:
    """One ink alone on bare paper, from paper to full tone: repeats averaged, one row a step."""

    name: str
    sent: FloatArray  # (n,), device values 0 to 1, rising from 0
    reflectance: FloatArray  # (n, bands)
    lab: FloatArray  # (n, 3), absolute, D50, 2°
    density: FloatArray  # (n,), of the filter that sees the ink best
    filter: str  # "visual", "red", "green" or "blue"

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        for name in ("sent", "reflectance", "lab", "density"):
            object.__setattr__(self, name, frozen_floats(getattr(self, name)))
        if not len(self.sent) == len(self.lab) == len(self.density) == len(self.reflectance):
            raise ShapeError(f"a ramp of {len(self.sent)} steps with {len(self.lab)} colours")


@dataclass(frozen=True, slots=True, kw_only=True)
class InkLimitFound:
    """The most that an ink is worth printing with, and why."""

    ink: str
    percent: float
    decided_by: str  # "full", "density", "chroma", "hue" or "bleeding"
    density: float  # at the limit, above the paper
    full_density: float  # at full tone
    chroma: float  # at the limit
    full_chroma: float
    stops: tuple[tuple[str, float], ...] = ()  # each reason with the percent it alone would allow


@dataclass(frozen=True, slots=True, kw_only=True)
class TotalLimitFound:
    """The most of all inks together, and why."""

    percent: float
    decided_by: str  # "measured", "darkening", "bleeding", "stated" or "usual"
    measured: float  # the largest total that was read, percent
    darkening: float  # from which on more ink darkens no more
    lightness: float  # L* of the darkest patch within the limit
    darkest: float  # L* of the darkest patch of all
    steps: tuple[tuple[float, float], ...] = ()  # totals that were read, with L* of the darkest patch within each


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkCurve:
    """What to send for what is wanted, of one ink; both 0 to 1 of the ink's limit, rising."""

    ink: str
    wanted: FloatArray
    send: FloatArray

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        for name in ("wanted", "send"):
            object.__setattr__(self, name, frozen_floats(getattr(self, name)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveFound:
    """What one ink's curve changes."""

    ink: str
    before: float  # tone value of the aim at half of the ink, percent, without the curve
    worst_before: float  # largest departure from the aim, percentage points, or ΔE00 where colours are the aim
    worst_after: float  # with the curve, as far as the readings tell
    steps: int  # of the ramp
    falls: float = 0.0  # by how much the readings themselves fall somewhere, percentage points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreysFound:
    """What curves make of the greys of cyan, magenta and yellow; absolute Lab, D50, 2°."""

    wanted: FloatArray  # (k, 3), cyan, magenta and yellow of each grey, 0 to 1
    aim: FloatArray  # (k, 3)
    before: FloatArray  # (k, 3), without the curves
    after: FloatArray  # (k, 3), with them, as far as the readings tell
    patches: int = 0  # near-neutral ones that told it
    against: str = ""  # the print whose greys are the aim; "": even steps of L*

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        for name in ("wanted", "aim", "before", "after"):
            object.__setattr__(self, name, frozen_floats(getattr(self, name)))

    def off(self, printed: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return by how much printed greys (k, 3) are off, (k,) each: distance in the plane of a* and b*, and in L*."""
        away = printed - self.aim
        return np.hypot(away[:, 1], away[:, 2]), np.abs(away[:, 0])


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRecord:
    """What one stage was found from, and what it rests on."""

    readings: str  # names of their files
    rests_on: tuple[str, ...] = ()  # marks of the stages before it, as they were when it was found
    on: tuple[Stage, ...] = ()  # stages that were on when its chart was printed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkStages:
    """All that was set of a press so far. A stage that is not there was not found yet."""

    inks: tuple[str, ...]
    limits: tuple[float, ...] | None = None  # percent of each ink
    curves: tuple[InkCurve, ...] | None = None
    aim: str = ""  # of the curves, in words
    total: float | None = None  # percent
    records: dict[Stage, StageRecord] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkLimitsResult:
    """What `spectro inks limits` found."""

    origin: str
    stages: InkStages
    limits: tuple[InkLimitFound, ...]  # () where they were not looked for
    total: TotalLimitFound | None
    ramps: tuple[InkRamp, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InkCurvesResult:
    """What `spectro inks curves` found."""

    origin: str
    stages: InkStages
    aim: CurveAim
    aim_words: str
    found: tuple[CurveFound, ...]
    greys: GreysFound | None = None  # None: another aim
    gain: tuple[float, float] | None = None  # mean ΔE00 of ramps from the earlier print, without and with the curves
    cautions: tuple[str, ...] = ()
