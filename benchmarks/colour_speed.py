"""Colour arithmetic against a general colour-science library, in one run: medians of nine alternating runs.

.venv/bin/python benchmarks/colour_speed.py

ΔE00 of 1 000 000 pairs on one and on two threads; spectra to XYZ of 100 000 spectra of 36 bands against a bare matrix
product of the same shape. All data is random, from a fixed seed.
"""

import statistics
import time
from collections.abc import Callable

import colour
import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights

RUNS = 9
PAIRS, SPECTRA = 1_000_000, 100_000


def seconds(what: Callable[[], object]) -> float:
    """Return the wall time of one call."""
    start = time.perf_counter()
    what()
    return time.perf_counter() - start


def medians(*jobs: Callable[[], object]) -> list[float]:
    """Return the median time of each job, run in turns after one turn that does not count."""
    for job in jobs:
        job()
    return [statistics.median(times) for times in zip(*[[seconds(job) for job in jobs] for _ in range(RUNS)], strict=True)]


def main() -> None:
    random = np.random.default_rng(5)
    first, second = random.uniform((0, -110, -110), (100, 110, 110), (2, PAIRS, 3))
    largest = np.abs(delta_e_2000(first, second) - colour.delta_E(first, second, method="CIE 2000")).max()
    library, one, two = medians(
        lambda: colour.delta_E(first, second, method="CIE 2000"),
        lambda: delta_e_2000(first, second, threads=1),
        lambda: delta_e_2000(first, second, threads=2),
    )
    print(f"ΔE00, {PAIRS} pairs: library {library * 1e3:.0f} ms, largest difference {largest:.1e}")
    print(f"  one thread  {one * 1e3:.1f} ms, {library / one:.2f} times as fast")
    print(f"  two threads {two * 1e3:.1f} ms, {library / two:.2f} times as fast")

    nm = np.arange(380.0, 731.0, 10.0)
    reflectance = random.random((SPECTRA, 36))
    matrix = np.array(tristimulus_weights(nm))
    bare, ours = medians(lambda: reflectance @ matrix, lambda: tristimulus(reflectance, tristimulus_weights(nm)))
    print(
        f"XYZ, {SPECTRA} spectra: bare product {bare * 1e3:.2f} ms, ours {ours * 1e3:.2f} ms, {ours / bare:.2f} times as long"
    )


if __name__ == "__main__":
    main()
