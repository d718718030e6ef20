"""What a profile's tables do to the colours of pictures: the neutral axis, full colours by hue, and how smooth it all is."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray, keep_floats
from spectro.records.smoothness import Smoothness


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IntentEffect:
    """What one table from the PCS prints, as A2B1 sees it. Lab is media-relative."""

    intent: str  # "perceptual", "colorimetric" or "saturation"
    table: str  # "B2A0", "B2A1" or "B2A2"
    neutral_lab: FloatArray  # (n, 3) printed for the neutral axis of `TableEffect.lightness`
    full_lab: FloatArray  # (hues, 3) printed for `TableEffect.full_lab`
    leaves_black: float | None  # first L* in that prints 1 lighter than the darkest on the curve; None: none does
    reaches_paper: float | None  # first L* in from which all prints within 1 of the lightest on the curve; None where flat

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "neutral_lab", "full_lab")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TableEffect:
    """A profile's tables at work. Lab is media-relative, under the profile's own light."""

    lightness: FloatArray  # (n,) L* in along the neutral axis, rising from 0 to 100
    hues: FloatArray  # (hues,) hue angle in CIELAB of the full colours, degrees
    full_lab: FloatArray  # (hues, 3) most colourful of the source gamut in each hue
    source_gamut: str  # whose full colours these are
    black_lightness: float  # L* of the darkest colour of A2B1
    intents: tuple[IntentEffect, ...]  # those the profile has tables for
    missing: tuple[str, ...]  # intents without a table of their own
    smoothness: tuple[Smoothness, ...]

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "lightness", "hues", "full_lab")
