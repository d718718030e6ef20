"""What the page beside a profile's renders says."""

from dataclasses import dataclass

from spectro.records.arrays import FloatArray
from spectro.records.table_effect import TableEffect


@dataclass(frozen=True, slots=True, kw_only=True)
class Render:
    """One picture as one intent prints it."""

    picture: str  # "photograph" or "ramps"
    intent: str  # "before", "perceptual", "colorimetric" or "saturation"
    png: str  # file names beside the page
    tiff: str
    mean_change: float  # ΔE00 from the picture before printing, mean over its pixels; 0 for itself


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RenderSheet:
    """Renders of one profile, what its tables do, and which source gamuts reach how far beyond the print."""

    verdict: str
    profile_file: str
    profile_name: str
    icc_version: str
    renders: tuple[Render, ...]
    outside: float  # share of the photograph that the colorimetric table changes by more than 2 ΔE00; NaN where it is missing
    effect: TableEffect
    source_outlines: dict[str, FloatArray]  # by name of the source gamut: a*, b* (hues, 2) of the fullest colours, all around
    print_outline: FloatArray  # (hues, 2) of the print's
