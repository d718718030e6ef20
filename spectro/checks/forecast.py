"""The forecast: cross-validated error, repeat noise, and readings that do not fit their neighbours."""

import numpy as np

from spectro.checks.noise import expected_difference
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import Forecast, SuspectPatch

METHOD = "leave-one-out over different device values, hyperparameters held, replicates left out together"
SUSPECT_DEVIATIONS = 4.0  # standard deviations of the left-out prediction; common practice, no source
LEAST_REPEATS = 8  # degrees of freedom below which repeat noise is not stated
_MOST_SUSPECTS = 20


def repeat_noise(lab: FloatArray, group: IntArray, counts: IntArray) -> float | None:
    """Return the mean ΔE00 of one reading from the expected mean of its repeats; None for too few repeats.

    lab: (n, 3) of every reading; group: (n,) its recipe; counts: (m,) readings of each recipe. The distance to the mean of
    k readings is made that to an endless series by the factor sqrt(k / (k - 1)).
    """
    if int((counts - 1).sum()) < LEAST_REPEATS:
        return None
    means = np.column_stack([np.bincount(group, lab[:, axis]) for axis in range(3)]) / counts[:, None]
    repeated = counts[group] > 1
    readings = counts[group][repeated]
    difference = delta_e_2000(lab[repeated], means[group[repeated]])
    return float((difference * np.sqrt(readings / (readings - 1))).mean())


def forecast(
    measurements: MeasurementSet,
    reading_lab: FloatArray,
    recipe_lab: FloatArray,
    left_out: FloatArray,
    left_out_spread: FloatArray,
    noise: FloatArray,
    group: IntArray,
    counts: IntArray,
    first: IntArray,
) -> Forecast:
    """Return the forecast of a fitted model.

    reading_lab: (n, 3) of every reading. recipe_lab, left_out, left_out_spread: (m, 3), of each recipe the mean Lab, the
    prediction without it and that prediction's standard deviation. noise: (3,) standard deviation of one reading.
    group: (n,) recipe of each reading; counts, first: (m,) its readings and the index of the first.
    """
    difference = delta_e_2000(left_out, recipe_lab)
    deviations = (np.abs(left_out - recipe_lab) / left_out_spread).max(axis=1)
    order = [int(row) for row in np.argsort(-deviations) if deviations[row] > SUSPECT_DEVIATIONS][:_MOST_SUSPECTS]
    suspects = []
    for row in order:
        reading = int(first[row])
        places = measurements.positions
        page, line, column = (int(value) for value in places[reading]) if len(places) else (0, 0, 0)
        suspects.append(
            SuspectPatch(
                id=measurements.sample_ids[reading],
                name=measurements.sample_names[reading],
                device=tuple(float(value) for value in measurements.device[reading]),
                delta_e_2000=float(difference[row]),
                deviations=float(deviations[row]),
                position=(page, line, column) if len(places) else None,
            )
        )
    return Forecast(
        cross_validation=difference_statistics(difference),
        cross_validation_method=METHOD,
        repeat_noise=repeat_noise(reading_lab, group, counts),
        repeat_readings=int((counts[group] > 1).sum()),
        model_noise=expected_difference(recipe_lab, noise),
        suspects=tuple(suspects),
    )
