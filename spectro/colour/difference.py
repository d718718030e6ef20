"""Colour differences that do not care which colour is the standard, their parts, and small ones as distances.

References: [ISO-CIE-11664-6] CIEDE2000; [Sharma-2005] implementation notes and test pairs; [CIE-15-2018] ΔE*ab and
differences of lightness, chroma and hue (signs are sample minus standard). ΔE94 and CMC, which do care, are in
difference_asymmetric.py.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from spectro.colour.ciede2000_blocks import BLOCK, THREAD_BLOCK, ciede2000_in_blocks
from spectro.maths import row_blocks
from spectro.records.arrays import ArrayLike, FloatArray

_ROWS_FOR_THREADS = 200_000  # below, starting threads costs more than they save


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return ΔE*ab, the Euclidean distance (...) of two Lab arrays (..., 3)."""
    difference = np.asarray(lab_1, dtype=np.float64) - np.asarray(lab_2, dtype=np.float64)
    return np.asarray(np.sqrt((difference**2).sum(axis=-1)))


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike, *, threads: int | None = None) -> FloatArray:
    """Return CIEDE2000 (...) of two Lab arrays (..., 3) that broadcast against each other; kL = kC = kH = 1.

    Symmetric in its arguments. Any real Lab is legal (magnitudes below 1e30).
    threads: at most as many; None: two for many pairs where there are two cores. The result does not depend on it.

    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    first, second = np.broadcast_arrays(np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64))
    shape = first.shape[:-1]
    first, second = first.reshape(-1, 3), second.reshape(-1, 3)
    result = np.empty(len(first))
    if threads is None:
        threads = row_blocks.threads() if len(first) >= _ROWS_FOR_THREADS else 1
    if threads <= 1 or len(first) <= BLOCK:
        ciede2000_in_blocks(first, second, result)
        return result.reshape(shape)
    parts = np.linspace(0, len(first), threads + 1).astype(int)
    with ThreadPoolExecutor(threads) as pool:
        jobs = [
            pool.submit(ciede2000_in_blocks, first[start:stop], second[start:stop], result[start:stop], THREAD_BLOCK)
            for start, stop in pairwise(parts)
        ]
        for job in jobs:
            job.result()
    return result.reshape(shape)


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


_STEP = 0.2  # Lab units: far above rounding, far below what bends the form


def difference_roots(lab: ArrayLike) -> FloatArray:
    """Return matrices W (n, 3, 3) with |W v| close to the ΔE00 between lab (n, 3) and lab + v, for v of a few units.

    Each W is the symmetric root of the quadratic form, so distances along different colours are on one scale.

    >>> float(difference_roots([[50.0, 0.0, 0.0]])[0, 0, 0].round(2))
    1.0
    """
    centre = np.asarray(lab, dtype=np.float64)

    def square(step: FloatArray) -> FloatArray:
        half = 0.5 * _STEP * step
        return np.asarray((delta_e_2000(centre - half, centre + half) / _STEP) ** 2)

    form = np.empty((len(centre), 3, 3))
    axes = np.eye(3)
    for one in range(3):
        form[:, one, one] = square(axes[one])
    for one in range(3):
        for other in range(one):
            mixed = 0.25 * (square(axes[one] + axes[other]) - square(axes[one] - axes[other]))
            form[:, one, other] = form[:, other, one] = mixed
    values, vectors = np.linalg.eigh(form)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 1e-6))[:, None, :]) @ np.swapaxes(vectors, 1, 2))
