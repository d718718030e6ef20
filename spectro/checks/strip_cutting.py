"""A run of readings cut into strips where a few patches are missing or doubled: the cheapest cut by expected colours."""

from collections.abc import Sequence

import numpy as np

from spectro.checks.strip_alignment import align
from spectro.errors import InputError
from spectro.records.arrays import FloatArray

MOST_OFF = 2  # patches a strip may have too many or too few


def bring_near(expected: FloatArray, read: FloatArray) -> FloatArray:
    """Return expected Lab (n, 3) with L*, a* and b* each spread over their ranges as those that were read, Lab (m, 3).

    Brings a rough prediction near, whatever the order of the readings and where a few are missing.
    """
    steps = np.linspace(0, 1, 33)
    axes = [
        np.interp(mine, np.maximum.accumulate(np.quantile(mine, steps)), np.quantile(theirs, steps))
        for mine, theirs in zip(expected.T, read.T, strict=True)
    ]
    return np.stack(axes, axis=-1)


def cut_strips(read: FloatArray, expected: Sequence[FloatArray], paper: FloatArray) -> tuple[int, ...]:
    """Return the lengths of strips in a run of readings.

    read: Lab (n, 3) in the order of reading; expected: Lab (m, 3) a strip; paper: (3,) Lab.
    Raises InputError where no cut gives as many readings as there are.
    """
    most = max(1, abs(len(read) - sum(map(len, expected))) + 2)
    reached: dict[int, tuple[float, tuple[int, ...]]] = {0: (0.0, ())}
    for index, strip in enumerate(expected):
        ahead: dict[int, tuple[float, tuple[int, ...]]] = {}
        nominal = sum(len(other) for other in expected[: index + 1])
        for start, (cost, lengths) in reached.items():
            for off in range(-MOST_OFF, MOST_OFF + 1):
                count = len(strip) + off
                end = start + count
                if count < 1 or end > len(read) or abs(end - nominal) > most:
                    continue
                total = cost + align(read[start:end], strip, paper).cost
                if end not in ahead or total < ahead[end][0]:
                    ahead[end] = (total, (*lengths, count))
        reached = ahead
    if len(read) not in reached or not np.isfinite(reached[len(read)][0]):
        raise InputError(
            f"{len(read)} readings",
            f"about {sum(map(len, expected))}",
            "Read the page again, or name the file's page with `pages`.",
        )
    return reached[len(read)][1]
