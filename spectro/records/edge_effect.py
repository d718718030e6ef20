"""What a profile's tables do at the edge of the gamut and near black."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class IntentEdge:
    """One table from the PCS, along ramps from black to full colours. Lab is media-relative; every place is said in words."""

    intent: str  # "perceptual", "colorimetric" or "saturation"
    table: str  # "B2A0", "B2A1" or "B2A2"
    black: float  # L* that a picture's black prints
    above: float  # L* by which that lies above the darkest colour of A2B1
    stops: float  # what that costs of the range from black to paper, in factors of two of luminance
    fall: float  # largest fall of L* where the picture gets lighter
    falling: int  # ramps that fall by more than 0.3
    fall_place: str
    turn: float  # degrees of hue (CAM16), 99th percentile where both sides have colour
    largest_turn: float
    turn_place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleError:
    """How far the colorimetric table is from a smooth rule for colours outside the gamut, ΔE00 of the print."""

    mean: float
    p95: float
    largest: float
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeEffect:
    """The tables that a profile has, and its colorimetric one against the rule."""

    darkest: float  # L* of A2B1
    ramps: int
    intents: tuple[IntentEdge, ...]
    rule: RuleError | None  # None: the profile has no colorimetric table
