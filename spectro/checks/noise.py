"""How large noise of Lab is as a colour difference."""

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray

_SEED = 5
_DRAWS = 2000


def expected_difference(lab: FloatArray, spread: FloatArray) -> float:
    """Return the mean ΔE00 of normal noise of standard deviation spread (n, 3) or (3,) around Lab (n, 3).

    Found with 2000 draws at rows of lab taken in turn, from a fixed seed.
    """
    rows = np.arange(_DRAWS) % len(lab)
    noise = np.random.default_rng(_SEED).normal(size=(_DRAWS, 3)) * np.broadcast_to(spread, lab.shape)[rows]
    return float(delta_e_2000(lab[rows], lab[rows] + noise).mean())
