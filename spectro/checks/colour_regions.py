"""Named regions of colour: what a person would call them, by hue angle and lightness of Lab.

The bounds are common practice, no source; they are laid so that the solids of offset inks and their overprints
([FOGRA51]) fall into the sector of their own name.
"""

import numpy as np

from spectro.records.arrays import FloatArray, IntArray
from spectro.standards.limits import shipped_limits

SECTORS = (  # first degree of the sector, name
    (15.0, "red"),
    (50.0, "orange"),
    (75.0, "yellow"),
    (105.0, "yellow-green"),
    (140.0, "green"),
    (180.0, "blue-green"),
    (215.0, "cyan"),
    (250.0, "blue"),
    (305.0, "purple"),
    (340.0, "magenta"),
)
SHADES = ("deep", "mid", "light")
_LIMITS = shipped_limits("colours")
_DARK, _LIGHT, _GREY = (_LIMITS[f"region_{name}"] for name in ("deep", "light", "grey"))
GREYS = ("blacks and deep greys", "mid greys", "light greys and whites")
NAMES = (*(f"{shade} {sector}" for _, sector in SECTORS for shade in SHADES), *GREYS)


def region_of(lab: FloatArray) -> IntArray:
    """Return the index in NAMES (...) of Lab (..., 3).

    >>> [NAMES[i] for i in region_of(np.array([[24.7, 21.1, -47.5], [89.0, -4.0, 92.4], [14.0, 0.0, 1.0]]))]
    ['deep blue', 'light yellow', 'blacks and deep greys']
    """
    shade = (lab[..., 0] >= _DARK).astype(np.int64) + (lab[..., 0] >= _LIGHT)
    grey = np.hypot(lab[..., 1], lab[..., 2]) < _GREY
    return np.asarray(np.where(grey, 3 * len(SECTORS) + shade, 3 * sector_of(lab) + shade))


def sector_of(lab: FloatArray) -> IntArray:
    """Return the index in SECTORS (...) of the hue of Lab (..., 3)."""
    hue = np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360
    found = np.searchsorted([start for start, _ in SECTORS], hue, side="right") - 1
    return np.asarray(found % len(SECTORS), dtype=np.int64)


def is_grey(lab: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Return whether colours (..., 3) count as greys."""
    return np.asarray(np.hypot(lab[..., 1], lab[..., 2]) < _GREY)
