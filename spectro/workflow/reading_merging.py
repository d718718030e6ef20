"""Several readings of the same chart: averaged as reflectance where they agree, kept apart or chosen between where not."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from spectro.checks.repeatability import LEAST_PATCHES, merge_readings
from spectro.checks.strip_alignment import align
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.readings.intake import FileReadings
from spectro.readings.read_strips import ReadStrip, spectra_of
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.readings_result import MergeNote, RepeatOutlierNote

AVERAGE, APART = "average", "apart"
FEW_MAY_DIFFER = 1.0  # ΔE00 between readings of a patch where there are too few patches for a test; no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Merged:
    """The readings that are written: rows of the chart with a spectrum each."""

    rows: IntArray  # (n,)
    reflectance: FloatArray  # (n, bands)
    note: MergeNote | None  # None: each patch was read once
    resolved: bool


def merged(
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
    patches it does not have. expected, paper: Lab, to line strips up that are still too long or too short.
    Raises InputError for a number that no reading has.
    """
    stack = _stacked(strips, files, layout, expected, paper)
    present = np.isfinite(stack[:, :, 0])
    read = np.flatnonzero(present.any(axis=0))
    repeated = np.flatnonzero(present.sum(axis=0) > 1)
    if how not in (AVERAGE, APART) and not (how.isdigit() and 1 <= int(how) <= len(stack)):
        raise InputError(f"--merge {how}", f"average, apart, or a reading, 1 to {len(stack)}", "Correct it.")
    if not len(repeated):
        return Merged(rows=read, reflectance=stack[present.argmax(axis=0)[read], read], note=None, resolved=True)
    nm = files[0].wavelengths
    note, mean = _compared(stack, present, repeated, nm, layout)
    if how == APART:
        rows, spectra = _apart(stack, present)
        return Merged(rows=rows, reflectance=spectra, note=replace(note, kept="apart"), resolved=True)
    if how.isdigit():
        order = [int(how) - 1, *(k for k in range(len(stack)) if k != int(how) - 1)]
        chosen = np.array(order)[present[order].argmax(axis=0)[read]]
        return Merged(rows=read, reflectance=stack[chosen, read], note=replace(note, kept=f"reading {how}"), resolved=True)
    result = stack[present.argmax(axis=0)[read], read].copy()
    if mean is not None:
        at = np.searchsorted(read, repeated)
        result[at] = mean
    doubtful = [outlier for outlier in note.outliers if present[:, _row(layout, outlier.patch)].sum() == 2]
    resolved = mean is not None and not doubtful
    return Merged(rows=read, reflectance=result, note=replace(note, kept="averaged") if resolved else note, resolved=resolved)


def _row(layout: ChartLayout, patch: str) -> int:
    return next(row for row in range(len(layout)) if layout.patch_name(row) == patch)


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


def _compared(
    stack: FloatArray,
    present: np.ndarray[tuple[int, ...], np.dtype[np.bool_]],
    repeated: IntArray,
    nm: FloatArray,
    layout: ChartLayout,
) -> tuple[MergeNote, FloatArray | None]:
    """Return what the readings say of each other, and the means of the repeated patches; None: they must not be averaged."""
    means = np.full((len(repeated), len(nm)), np.nan)
    weights, mcdm, noise = [], [], []
    systematic: dict[tuple[int, int], float] = {}
    outliers: list[RepeatOutlierNote] = []
    few: list[str] = []
    patterns, which = np.unique(present[:, repeated].T, axis=0, return_inverse=True)
    for number, pattern in enumerate(patterns):
        members = np.flatnonzero(which.reshape(-1) == number)
        readings, rows = np.flatnonzero(pattern), repeated[members]
        spectra = stack[readings][:, rows]
        if len(rows) < LEAST_PATCHES:
            lab = spectra_to_lab(spectra, nm)
            off = delta_e_2000(lab, np.median(lab, axis=0)).max(axis=0)
            few += [layout.patch_name(int(row)) for row, far in zip(rows, off, strict=True) if far > FEW_MAY_DIFFER / 2]
            means[members] = spectra.mean(axis=0)
            continue
        positions = layout.positions[rows] if len(layout.positions) else None
        found = merge_readings(list(spectra), nm, positions=positions)
        for first, second, size in found.systematic:
            systematic[int(readings[first]) + 1, int(readings[second]) + 1] = size
        for outlier in found.outliers:
            row = int(rows[outlier.patch])
            place = layout.positions[row] if len(layout.positions) else None
            outliers.append(
                RepeatOutlierNote(
                    patch=layout.patch_name(row),
                    place="" if place is None else f"page {place[0]}, row {place[1]}, column {place[2]}",
                    reading=int(readings[outlier.reading]) + 1,
                    delta_e_2000=outlier.delta_e_2000,
                )
            )
        means[members] = np.nan if found.reflectance is None else found.reflectance
        weights.append(len(rows))
        mcdm.append(found.mcdm)
        noise.append(found.noise)
    count = len(stack)
    words = f"{count} readings, {len(repeated)} patches read more than once"
    if weights:
        words += f", mean difference from the mean ΔE00 {np.average(mcdm, weights=weights):.2f}"
    usable = not systematic and not few
    if systematic:
        (first, second), size = max(systematic.items(), key=lambda entry: entry[1])
        words += (
            f"; readings {first} and {second} differ throughout by ΔE00 {size:.2f}: not averaged. Find out which is right "
            "and keep it with --merge and its number, or keep all with --merge apart"
        )
    elif few:
        words += f"; {', '.join(few)} differ, too few patches to say why: not averaged. Choose with --merge"
    elif outliers and count == 2:
        words += f"; {len(outliers)} outliers: read these patches a third time, leave them out, or choose with --merge"
    elif outliers:
        words += f"; {len(outliers)} outliers left out of the mean"
    note = MergeNote(
        readings=count,
        patches=len(repeated),
        mcdm=float(np.average(mcdm, weights=weights)) if weights else None,
        noise=float(np.average(noise, weights=weights)) if weights else None,
        systematic=tuple((first, second, size) for (first, second), size in sorted(systematic.items())),
        outliers=tuple(outliers),
        kept="",
        sentence=words + ".",
    )
    return note, means if usable else None


def _apart(stack: FloatArray, present: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> tuple[IntArray, FloatArray]:
    rows = [np.flatnonzero(layer) for layer in present]
    return np.concatenate(rows), np.concatenate([stack[k][mine] for k, mine in enumerate(rows)])
