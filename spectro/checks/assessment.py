"""A profile beside readings: how well it describes them, the worst patches, and what makes up the error of a print."""

from enum import StrEnum

import numpy as np

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.noise import expected_difference
from spectro.errors import SpectroError
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray, triple
from spectro.records.assessment import ErrorBudget, PatchDifference
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.statistics import DifferenceStatistics

_WORST = 10
_MODEL_POINTS = 500


class Fit(StrEnum):
    """How well a profile describes a print."""

    CLOSE = "close"
    WELL = "well"
    ROUGH = "rough"
    NONE = "none"


def fit_of(overall: DifferenceStatistics, limits: Limits) -> Fit:
    """Return how well a profile describes the print that was read. overall: ΔE00 of all patches; limits: of profiles."""
    if overall.mean <= limits["close_mean"] and overall.p95 <= limits["close_p95"]:
        return Fit.CLOSE
    if overall.mean <= limits["well_mean"] and overall.p95 <= limits["well_p95"]:
        return Fit.WELL
    return Fit.ROUGH if overall.mean <= limits["rough_mean"] else Fit.NONE


def worst_patches(
    measurements: MeasurementSet, measured: FloatArray, predicted: FloatArray, difference: FloatArray
) -> tuple[PatchDifference, ...]:
    """Return the ten patches that differ most, largest first. measured, predicted: (n, 3); difference: (n,)."""
    worst = []
    for row in np.argsort(-difference, kind="stable")[:_WORST]:
        place = tuple(int(value) for value in measurements.positions[row]) if len(measurements.positions) else None
        worst.append(
            PatchDifference(
                id=measurements.sample_ids[row],
                name=measurements.sample_names[row],
                device=tuple(float(value) for value in measurements.device[row]),
                measured_lab=triple(measured[row]),
                profile_lab=triple(predicted[row]),
                delta_e_2000=float(difference[row]),
                position=None if place is None else (place[0], place[1], place[2]),
            )
        )
    return tuple(worst)


def error_budget(
    measurements: MeasurementSet, illuminant: str | Light, observer: int, tables: DifferenceStatistics, limits: Limits
) -> ErrorBudget:
    """Split the expected error of a print.

    measurements: the readings the profile was built from, where it carries them, else those at hand. tables: the profile's
    round trip. limits: of profiles.
    """
    noise: float | None = None
    model: float | None = None
    least = int(limits["model_recipes"])
    noise_from = f"fewer than {least} different patches and no repeats"
    if len(average_repeats(measurements)) >= least:
        try:
            fitted = fit_printer(measurements, illuminant, observer, limits)
        except SpectroError:  # readings that span too little of the printer carry no model; the rest still stands
            noise_from = "the readings span too little of the printer"
        else:
            device = np.random.default_rng(7).random((_MODEL_POINTS, 3))
            model = expected_difference(fitted.model.predict(device), fitted.model.uncertainty(device))
            if fitted.forecast.repeat_noise is not None:
                noise, noise_from = fitted.forecast.repeat_noise, f"{fitted.forecast.repeat_readings} repeated readings"
            else:
                noise, noise_from = fitted.forecast.model_noise, "estimated by the model, too few repeats"
    known = [part for part in (noise, model, tables.mean) if part is not None]
    total = float(np.sqrt(np.sum(np.square(known)))) if len(known) == 3 else None
    return ErrorBudget(repeat_noise=noise, repeat_noise_from=noise_from, model=model, table=tables.mean, total=total)
