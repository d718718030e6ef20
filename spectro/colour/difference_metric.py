"""Small colour differences as distances: around each colour ΔE00 is a quadratic form, which makes noise and shifts linear.

Reference: [ISO-CIE-11664-6] ΔE00; the form is found from its values, not from its formula.
"""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import ArrayLike, FloatArray

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
