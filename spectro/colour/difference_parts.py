"""Parts of a CIELAB difference: lightness, chroma, hue, and distance in the a*b* plane. Signs are sample minus standard.

Reference: [CIE-15-2018] differences of lightness, chroma and hue.
"""

from dataclasses import dataclass

import numpy as np

from spectro.records.arrays import ArrayLike, FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DifferenceParts:
    """ΔE*ab² = ΔL*² + ΔC*² + ΔH*²; ΔCh² = Δa*² + Δb*² = ΔC*² + ΔH*²."""

    lightness: FloatArray  # (...) ΔL*
    chroma: FloatArray  # (...) ΔC*ab
    hue: FloatArray  # (...) ΔH*ab, positive where the sample lies counter-clockwise (red to yellow) of the standard
    plane: FloatArray  # (...) ΔCh, never negative: for near-neutral colours, whose hue says little


def difference_parts(standard: ArrayLike, sample: ArrayLike) -> DifferenceParts:
    """Return the parts of the difference of sample from standard, Lab (..., 3) that broadcast against each other.

    >>> parts = difference_parts([56.12, -34.90, -52.52], [55.20, -33.00, -50.10])
    >>> round(float(parts.chroma), 4), round(abs(float(parts.hue)), 4)
    (-3.0666, 0.2492)
    """
    first, second = np.broadcast_arrays(np.asarray(standard, dtype=np.float64), np.asarray(sample, dtype=np.float64))
    (l1, a1, b1), (l2, a2, b2) = np.moveaxis(first, -1, 0), np.moveaxis(second, -1, 0)
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    # ΔH = 2·√(c1·c2)·sin(Δh/2), from the cross and dot product of the two directions
    turn = np.arctan2(a1 * b2 - a2 * b1, a1 * a2 + b1 * b2)
    return DifferenceParts(
        lightness=np.asarray(l2 - l1),
        chroma=np.asarray(c2 - c1),
        hue=np.asarray(2 * np.sqrt(c1 * c2) * np.sin(turn / 2)),
        plane=np.asarray(np.hypot(a2 - a1, b2 - b1)),
    )
