"""Colour differences that do not care which colour is the standard.

References: [ISO-CIE-11664-6] CIEDE2000; [Sharma-2005] implementation notes and test pairs; [CIE-15-2018] ΔE*ab.
ΔE94 and CMC, which do care, are in difference_asymmetric.py.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np

from spectro.colour.ciede2000_blocks import BLOCK, THREAD_BLOCK, ciede2000_in_blocks
from spectro.records.arrays import ArrayLike, FloatArray

_ROWS_FOR_THREADS = 200_000  # below, starting threads costs more than they save


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> FloatArray:
    """Return ΔE*ab, the Euclidean distance (...) of two Lab arrays (..., 3)."""
    difference = np.asarray(lab_1, dtype=np.float64) - np.asarray(lab_2, dtype=np.float64)
    return np.asarray(np.sqrt((difference**2).sum(axis=-1)))


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike, *, threads: int | None = None) -> FloatArray:
    """Return CIEDE2000 (...) of two Lab arrays (..., 3) that broadcast against each other; kL = kC = kH = 1.

    Symmetric in its arguments. Any real Lab is legal (magnitudes below 1e30).
    threads: at most as many; None: two for many pairs where there are two processors. The result does not depend on it.

    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    first, second = np.broadcast_arrays(np.asarray(lab_1, dtype=np.float64), np.asarray(lab_2, dtype=np.float64))
    shape = first.shape[:-1]
    first, second = first.reshape(-1, 3), second.reshape(-1, 3)
    result = np.empty(len(first))
    if threads is None:
        threads = 2 if len(first) >= _ROWS_FOR_THREADS and (os.cpu_count() or 1) > 1 else 1
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
