"""The forecast: cross-validated error, repeat noise, readings that do not fit their neighbours, the error of a print."""

import numpy as np

from spectro.checks.noise import expected_difference
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.model.gaussian_process import DeviceModel
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import Forecast, PrintForecast, SuspectPatch
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits

METHOD = "leave-one-out over different device values, hyperparameters held, replicates left out together"
PRINT_METHOD = (
    "errors of left-out patches over their predicted spread, times the predicted spread at even device values; "
    "another sheet added in squares"
)
_MOST_SUSPECTS = 20
_QUANTILES = 200


def repeat_noise(lab: FloatArray, group: IntArray, counts: IntArray, limits: Limits | None = None) -> float | None:
    """Return the mean ΔE00 of one reading from the expected mean of its repeats; None for too few repeats.

    lab: (n, 3) of every reading; group: (n,) its recipe; counts: (m,) readings of each recipe. The distance to the mean of
    k readings is made that to an endless series by the factor sqrt(k / (k - 1)). limits: of profiles; None: the shipped ones.
    """
    limits = limits or shipped_limits("profile")
    if int((counts - 1).sum()) < limits["repeats"]:
        return None
    means = np.column_stack([np.bincount(group, lab[:, axis]) for axis in range(3)]) / counts[:, None]
    repeated = counts[group] > 1
    readings = counts[group][repeated]
    difference = delta_e_2000(lab[repeated], means[group[repeated]])
    return float((difference * np.sqrt(readings / (readings - 1))).mean())


def forecast(
    measurements: MeasurementSet,
    repeats: RepeatAverages,
    model: DeviceModel,
    reading_lab: FloatArray,
    recipe_lab: FloatArray,
    limits: Limits,
) -> Forecast:
    """Return the forecast of a fitted model.

    repeats: the readings by recipe. reading_lab: (n, 3) of every reading; recipe_lab: (m, 3), the mean Lab of each recipe.
    limits: of profiles.
    """
    difference = delta_e_2000(model.left_out, recipe_lab)
    deviations = (np.abs(model.left_out - recipe_lab) / model.left_out_spread).max(axis=1)
    return Forecast(
        cross_validation=difference_statistics(difference),
        cross_validation_method=METHOD,
        repeat_noise=repeat_noise(reading_lab, repeats.group, repeats.counts, limits),
        repeat_readings=int((repeats.counts[repeats.group] > 1).sum()),
        model_noise=expected_difference(recipe_lab, model.noise()),
        suspects=_suspects(measurements, repeats, difference, deviations, limits["suspect_deviations"]),
    )


def _suspects(
    measurements: MeasurementSet, repeats: RepeatAverages, difference: FloatArray, deviations: FloatArray, limit: float
) -> tuple[SuspectPatch, ...]:
    """Return the patches whose prediction without them is off by more deviations than limit, the worst first."""
    found = []
    for row in np.argsort(-deviations)[:_MOST_SUSPECTS]:
        if deviations[row] <= limit:
            break
        reading = int(repeats.first[row])
        places = measurements.positions
        page, line, column = (int(value) for value in places[reading]) if len(places) else (0, 0, 0)
        found.append(
            SuspectPatch(
                id=measurements.sample_ids[reading],
                name=measurements.sample_names[reading],
                device=tuple(float(value) for value in measurements.device[reading]),
                delta_e_2000=float(difference[row]),
                deviations=float(deviations[row]),
                position=(page, line, column) if len(places) else None,
            )
        )
    return tuple(found)


def print_forecast(left_out: FloatArray, spread: FloatArray, elsewhere: FloatArray, sheet: float) -> PrintForecast:
    """Return what a print through a profile will be off by: all colours instead of the patches, and on another sheet.

    left_out: (m,) ΔE00 of each patch from the prediction without it; spread: (m, 3), that prediction's standard deviations
    of L*, a*, b*; elsewhere: (k, 3), those of predictions at device values that fill the printer evenly, the noise of a
    reading in both. A chart's patches lie apart, so that one left out is predicted worse than most colours are: what is
    kept is by how much the errors differ from what the model thinks they are. sheet: mean ΔE00 by which the same colours
    differ on another sheet, noise of the reading included; it cannot be seen on one sheet.
    """
    share = left_out / np.sqrt((spread**2).mean(axis=1))
    shares = np.quantile(share, (np.arange(_QUANTILES) + 0.5) / _QUANTILES)
    errors = np.outer(shares, np.sqrt((elsewhere**2).mean(axis=1)))
    mean = float(errors.mean())
    whole = float(np.hypot(mean, sheet))
    return PrintForecast(mean=whole, p95=float(np.percentile(errors, 95)) * whole / mean, sheet=sheet, method=PRINT_METHOD)
