"""Kinds of colours that people judge first, told by their Lab."""

import numpy as np

from spectro.records.arrays import BoolArray, FloatArray
from spectro.standards.limits import shipped_limits

_LIMITS = shipped_limits("colours")


def patch_classes(lab: FloatArray) -> dict[str, BoolArray]:
    """Return masks (n,) of kinds of colours people judge first, by absolute Lab (n, 3).

    Greys: C* below 5. Skin-like: L* 35 to 85, C* 12 to 40, hue angle 35 to 75 degrees. Dark: L* below 20. Near white:
    L* above 90 and C* below 8. Common practice, no source; only the bound of L* 20 is the project's own decision.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    lightness = lab[:, 0]
    return {
        "greys": chroma < _LIMITS["grey_chroma"],
        "skin-like": _between(lightness, "skin_dark", "skin_light")
        & _between(chroma, "skin_least_chroma", "skin_most_chroma")
        & _between(hue, "skin_least_hue", "skin_most_hue"),
        "dark (L* < 20)": lightness < _LIMITS["dark"],
        "near white": (lightness > _LIMITS["near_white"]) & (chroma < _LIMITS["near_white_chroma"]),
    }


def _between(values: FloatArray, least: str, most: str) -> BoolArray:
    return (values > _LIMITS[least]) & (values < _LIMITS[most])
