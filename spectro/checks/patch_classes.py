"""Kinds of colours that people judge first, told by their Lab."""

import numpy as np

from spectro.records.arrays import BoolArray, FloatArray


def patch_classes(lab: FloatArray) -> dict[str, BoolArray]:
    """Return masks (n,) of kinds of colours people judge first, by absolute Lab (n, 3).

    Greys: C* below 5. Skin-like: L* 35 to 85, C* 12 to 40, hue angle 35 to 75 degrees. Dark: L* below 20. Near white:
    L* above 90 and C* below 8. Common practice, no source; only the bound of L* 20 is the project's own decision.
    """
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1]))
    lightness = lab[:, 0]
    return {
        "greys": chroma < 5,
        "skin-like": (lightness > 35) & (lightness < 85) & (chroma > 12) & (chroma < 40) & (hue > 35) & (hue < 75),
        "dark (L* < 20)": lightness < 20,
        "near white": (lightness > 90) & (chroma < 8),
    }
