"""Several readings of the same chart: averaged as reflectance where they agree, kept apart or chosen between where not."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.repeatability import LEAST_PATCHES, MergedReadings, merge_readings
from spectro.checks.strip_alignment import align
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.readings.intake import FileReadings
from spectro.readings.read_strips import ReadStrip, spectra_of
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.readings_result import RepeatOutlierNote
from spectro.standards.limits import shipped_limits

AVERAGE, APART = "average", "apart"


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What several readings of the same patches say of each other. Readings count from 1."""

    readings: int
    patches: int  # read more than once
    mcdm: float | None  # mean ΔE00 from the mean; None where there was nothing to compare
    noise: float | None  # mean ΔE00 of one reading from the mean of many
    systematic: tuple[tuple[int, int, float], ...]  # readings that differ throughout, and by what ΔE00
    outliers: tuple[RepeatOutlierNote, ...]
    few: tuple[str, ...]  # patches that differ where too few were repeated to say why


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Merged:
    """The readings that are written: rows of the chart with a spectrum each."""

    rows: IntArray  # (n,)
    reflectance: FloatArray  # (n, bands)
    comparison: Comparison | None  # None: each patch was read once
    kept: str  # "averaged", "reading 2", "apart"; "" where nothing had to be decided, or nothing was
    resolved: bool


def merge_strips(
    strips: Sequence[ReadStrip],
    files: Sequence[FileReadings],
    layout: ChartLayout,
    *,
    how: str,
    expected: FloatArray,
    paper: FloatArray,
) -> Merged:
    """Return one set of readings from all that were taken in.

    how: "average" where they agree, "apart", or the number of the reading to keep, from 1; the others then only fill
    patches it does not have. expected (n, 3), paper (3,): Lab, to line strips up that are still too long or too short.
    Raises InputError for a number that no reading has.
    """
    stack = _stacked(strips, files, layout, expected, paper)
    present = np.isfinite(stack[:, :, 0])
    read = np.flatnonzero(present.any(axis=0))
    repeated = np.flatnonzero(present.sum(axis=0) > 1)
    if how not in (AVERAGE, APART) and not (how.isdecimal() and 1 <= int(how) <= len(stack)):
        raise InputError(f"`merge` {how}", f"average, apart, or a reading, 1 to {len(stack)}", "Correct it.")
    first = stack[present.argmax(axis=0)[read], read]
    if not len(repeated):
        return Merged(rows=read, reflectance=first, comparison=None, kept="", resolved=True)
    found, mean = _compare(stack, present, repeated, files[0].wavelengths, layout)
    if how == APART:
        layers = [np.flatnonzero(layer) for layer in present]
        spectra = np.concatenate([stack[number][mine] for number, mine in enumerate(layers)])
        return Merged(rows=np.concatenate(layers), reflectance=spectra, comparison=found, kept="apart", resolved=True)
    if how.isdecimal():
        wanted = int(how) - 1
        order = [wanted, *(number for number in range(len(stack)) if number != wanted)]
        chosen = np.array(order)[present[order].argmax(axis=0)[read]]
        return Merged(rows=read, reflectance=stack[chosen, read], comparison=found, kept=f"reading {how}", resolved=True)
    if mean is not None:
        first[np.searchsorted(read, repeated)] = mean
    twice = {layout.patch_name(int(row)) for row in np.flatnonzero(present.sum(axis=0) == 2)}
    resolved = mean is not None and not any(outlier.patch in twice for outlier in found.outliers)
    return Merged(rows=read, reflectance=first, comparison=found, kept="averaged" if resolved else "", resolved=resolved)


def _stacked(
    strips: Sequence[ReadStrip],
    files: Sequence[FileReadings],
    layout: ChartLayout,
    expected: FloatArray,
    paper: FloatArray,
) -> FloatArray:
    """Return (readings, patches, bands), NaN where a patch was not read. A place taken twice moves on to the next reading."""
    nm = files[0].wavelengths
    layers = [np.full((len(layout), len(nm)), np.nan)]
    for strip in strips:
        spectra, targets = spectra_of(strip, files), strip.targets
        if len(spectra) != len(targets):
            pairs = np.array(align(spectra_to_lab(spectra, nm), expected[targets], paper).pairs, dtype=np.int64).reshape(-1, 2)
            spectra, targets = spectra[pairs[:, 0]], targets[pairs[:, 1]]
        at = strip.reading - 1
        while at < len(layers) and np.isfinite(layers[at][targets, 0]).any():
            at += 1
        while at >= len(layers):
            layers.append(np.full((len(layout), len(nm)), np.nan))
        layers[at][targets] = spectra
    return np.stack(layers)


def _compare(
    stack: FloatArray, present: BoolArray, repeated: IntArray, nm: FloatArray, layout: ChartLayout
) -> tuple[Comparison, FloatArray | None]:
    """Return what the readings say of each other, and the means of the repeated patches; None: they must not be averaged.

    Patches are compared in groups that were read in the same readings, each group of enough patches by itself.
    """
    means = np.full((len(repeated), len(nm)), np.nan)
    groups: list[tuple[int, MergedReadings]] = []
    systematic: dict[tuple[int, int], float] = {}
    outliers: list[RepeatOutlierNote] = []
    few: list[str] = []
    patterns, which = np.unique(present[:, repeated].T, axis=0, return_inverse=True)
    for number, pattern in enumerate(patterns):
        members = np.flatnonzero(which.reshape(-1) == number)
        readings, rows = np.flatnonzero(pattern), repeated[members]
        spectra = stack[readings][:, rows]
        if len(rows) < LEAST_PATCHES:
            few += [layout.patch_name(int(row)) for row in rows[_differ(spectra, nm)]]
            means[members] = spectra.mean(axis=0)
            continue
        positions = layout.positions[rows] if len(layout.positions) else None
        found = merge_readings(list(spectra), nm, positions=positions)
        groups.append((len(rows), found))
        systematic |= {(int(readings[one]) + 1, int(readings[two]) + 1): size for one, two, size in found.systematic}
        outliers += _outliers(found, rows, readings, layout)
        means[members] = np.nan if found.reflectance is None else found.reflectance
    weights = [count for count, _ in groups]
    comparison = Comparison(
        readings=len(stack),
        patches=len(repeated),
        mcdm=float(np.average([found.mcdm for _, found in groups], weights=weights)) if groups else None,
        noise=float(np.average([found.noise for _, found in groups], weights=weights)) if groups else None,
        systematic=tuple((one, two, size) for (one, two), size in sorted(systematic.items())),
        outliers=tuple(outliers),
        few=tuple(few),
    )
    return comparison, None if systematic or few else means


def _differ(spectra: FloatArray, nm: FloatArray) -> BoolArray:
    """Return which patches (k,) of readings (readings, k, bands) differ, where there are too few for a test."""
    lab = spectra_to_lab(spectra, nm)
    off = np.asarray(delta_e_2000(lab, np.median(lab, axis=0))).max(axis=0)
    return np.asarray(off > shipped_limits("readings")["few_may_differ"] / 2)


def _outliers(found: MergedReadings, rows: IntArray, readings: IntArray, layout: ChartLayout) -> list[RepeatOutlierNote]:
    return [
        RepeatOutlierNote(
            patch=layout.patch_name(int(rows[outlier.patch])),
            place=layout.place_words(int(rows[outlier.patch])),
            reading=int(readings[outlier.reading]) + 1,
            delta_e_2000=outlier.delta_e_2000,
        )
        for outlier in found.outliers
    ]
