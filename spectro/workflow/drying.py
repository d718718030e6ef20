"""Whether a print is dry: the same patches read again and again, until the change is below the noise."""

import itertools
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.checks.repeatability import drying
from spectro.errors import InputError
from spectro.readings.load import load_spectra
from spectro.records.readings import Readings
from spectro.records.readings_sheet import DryingResult, DryingStep

ASSUMED_NOISE = 0.15  # mean ΔE00 of one reading where nothing tells it: common practice, no source


def followed_drying(files: Sequence[Path], noise: float | None, noise_from: str) -> DryingResult:
    """Return how the same patches changed from file to file, oldest first; two files or more, five patches or more.

    noise: mean ΔE00 of one reading; None: an assumed one. Patches are matched by id.
    Raises InputError or MeasurementFileError where files do not hold the same patches.
    """
    if len(files) < 2:
        raise InputError("one reading for --drying", "two or more of the same patches, oldest first", "Read them again later.")
    if noise is not None and not 0.01 <= noise <= 5:
        raise InputError(f"noise {noise:g}", "0.01 to 5 ΔE00", "Correct --noise.")
    known = ASSUMED_NOISE if noise is None else noise
    words = "assumed, for want of repeats: common practice, no source" if noise is None else noise_from
    read = [load_spectra([path]) for path in files]
    steps = []
    for first, second in itertools.pairwise(read):
        mine, theirs = _matched(first, second)
        found = drying(first.reflectance[mine], second.reflectance[theirs], first.wavelengths, noise=known)
        steps.append(
            DryingStep(
                first=first.origin,
                second=second.origin,
                patches=len(mine),
                change=found.change,
                limit=found.limit,
                dry=found.dry,
            )
        )
    last = steps[-1]
    verdict = (
        f"Between the last two readings the print changed by ΔE00 {last.change:.2f}, noise alone gives up to {last.limit:.2f}: "
    )
    verdict += "dry enough to be read." if last.dry else "it still changes. Wait, and read these patches again."
    return DryingResult(verdict=verdict, noise=known, noise_from=words, steps=tuple(steps))


def _matched(first: Readings, second: Readings) -> tuple[list[int], list[int]]:
    """Return rows of the same patches in both."""
    if not np.array_equal(first.wavelengths, second.wavelengths):
        raise InputError(f"other wavelengths in {second.origin}", f"those of {first.origin}", "Export both in the same way.")
    if first.condition and second.condition and first.condition != second.condition:
        raise InputError(
            f"{second.condition} in {second.origin}", f"{first.condition}, as {first.origin}", "Read with the same condition."
        )
    at = {identity: row for row, identity in enumerate(second.sample_ids)}
    shared = [(row, at[identity]) for row, identity in enumerate(first.sample_ids) if identity in at]
    if len(shared) < 5:
        raise InputError(
            f"{len(shared)} patches that {first.origin} and {second.origin} share",
            "five or more of the same ids",
            "Read the same patches again.",
        )
    return [row for row, _ in shared], [row for _, row in shared]
