"""What repeats on the sheets tell: noise of a reading, the repeats that differ most, evenness of each page."""

import numpy as np

from spectro.checks.print_noise import repeat_noise
from spectro.checks.repeatability import page_evenness
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import place_words
from spectro.records.measurement import MeasurementSet
from spectro.records.readings_result import EvennessNote
from spectro.records.readings_sheet import RepeatNote

_WORST = 10  # repeats that are named


def repeat_noise_of(measurements: MeasurementSet) -> float | None:
    """Return the mean ΔE00 of one reading from the mean of endlessly many, by repeats; None where there are too few."""
    repeats = average_repeats(measurements)
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    return repeat_noise(lab, repeats.group, repeats.counts)


def repeat_distances(measurements: MeasurementSet) -> FloatArray:
    """Return ΔE00 (n,) of each reading from the mean of its repeats; NaN where a recipe was read once."""
    repeats = average_repeats(measurements)
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    means = spectra_to_lab(repeats.reflectance, measurements.wavelengths)[repeats.group]
    distance = np.asarray(delta_e_2000(lab, means), dtype=np.float64)
    distance[repeats.counts[repeats.group] < 2] = np.nan
    return distance


def worst_repeats(measurements: MeasurementSet) -> tuple[RepeatNote, ...]:
    """Return the readings that are farthest from the mean of their repeats, the farthest first."""
    distance = repeat_distances(measurements)
    rows = np.argsort(-np.nan_to_num(distance, nan=-1.0), kind="stable")[:_WORST]
    return tuple(
        RepeatNote(
            patch=measurements.sample_names[row] or measurements.sample_ids[row],
            place=place_words(measurements.positions[row]) if len(measurements.positions) else "",
            delta_e_2000=float(distance[row]),
        )
        for row in rows.tolist()
        if np.isfinite(distance[row])
    )


def page_evenness_notes(measurements: MeasurementSet) -> tuple[EvennessNote, ...]:
    """Return how even each page is, for pages with repeats enough."""
    if not len(measurements.positions):
        return ()
    group = average_repeats(measurements).group
    found = []
    for page in np.unique(measurements.positions[:, 0]).tolist():
        here = np.flatnonzero(measurements.positions[:, 0] == page)
        counts = np.bincount(group[here])
        repeated = int((counts[group[here]] > 1).sum())
        even = page_evenness(
            measurements.reflectance[here], group[here], measurements.positions[here], measurements.wavelengths
        )
        if even is not None:
            found.append(EvennessNote(page=page, readings=repeated, range_delta_e=even.range_delta_e, certain=even.certain))
    return tuple(found)
