"""How neutral printed greys are relative to the paper, in one light and another."""

from collections.abc import Sequence

import numpy as np

from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.maths.penalised_spline import fit_smooth
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.monochrome import LightNeutrality


def tint_angle(found: LightNeutrality) -> float:
    """Return the hue angle of a tint where it is strongest, degrees, 0 to 360."""
    at = int(np.argmax(np.hypot(found.a, found.b) >= found.largest - 1e-9))
    return float(np.degrees(np.arctan2(found.b[at], found.a[at]))) % 360


def grey_neutrality(
    value: FloatArray,
    reflectance: FloatArray,
    counts: FloatArray,
    wavelengths: FloatArray,
    lights: Sequence[str | Light],
    ramp: FloatArray,
    lightness: FloatArray,
    limits: Limits,
) -> tuple[LightNeutrality, ...]:
    """Return how neutral the greys are in each light.

    value: (n,) 0 darkest, 1 paper, once at least; reflectance: (n, bands); counts: (n,) readings of each.
    ramp: (m,) where curves are wanted; lightness: (m,) L* there, for what is judged. limits: of monochrome.
    """
    paper = int(np.argmax(value))
    ends = (value >= 1).astype(np.float64)
    judged = (lightness >= limits["judged_from"]) & (lightness <= limits["judged_to"])
    if not judged.any():
        judged = np.ones(len(ramp), dtype=np.bool_)
    found = []
    for light in lights:
        xyz = tristimulus(reflectance, tristimulus_weights(wavelengths, light))
        lab = xyz_to_lab(xyz, xyz[paper])
        a, b = (fit_smooth(value, lab[:, axis], counts, ends)(ramp) for axis in (1, 2))
        chroma = np.hypot(a, b)
        worst = int(np.argmax(np.where(judged, chroma, -1)))
        found.append(
            LightNeutrality(
                light=light if isinstance(light, str) else light.name,
                a=a,
                b=b,
                largest=float(chroma[worst]),
                at_lightness=float(lightness[worst]),
                mean=float(chroma[judged].mean()),
            )
        )
    return tuple(found)
