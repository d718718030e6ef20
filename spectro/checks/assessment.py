"""A profile beside readings: how well it describes them, the worst patches, and what makes up the error of a print."""

from enum import StrEnum

import numpy as np

from spectro.checks.fitted_printer import fit_printer, forecast_print
from spectro.errors import SpectroError
from spectro.readings.repeats import average_repeats, recipe_keys
from spectro.records.arrays import FloatArray, triple
from spectro.records.assessment import ErrorBudget, PatchDifference
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.readings import Readings
from spectro.records.statistics import DifferenceStatistics
from spectro.standards.limits import shipped_limits

_WORST = 10
_LEAST_SAME = shipped_limits("repeats")["same_readings"]


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


def kept_readings(own: MeasurementSet | None, measurements: MeasurementSet | Readings) -> int:
    """Return how many readings are among a profile's own: the same device values and spectra, to the rounding of files."""
    if own is None or own.reflectance.shape[1] != measurements.reflectance.shape[1]:
        return 0

    def rows(one: MeasurementSet | Readings) -> list[tuple[bytes, bytes]]:
        device, spectra = recipe_keys(np.round(one.device, 4)), np.round(one.reflectance, 4)
        return [(left.tobytes(), (right + 0.0).tobytes()) for left, right in zip(device, spectra, strict=True)]

    kept = set(rows(own))
    same = sum(row in kept for row in rows(measurements))
    return same if same >= _LEAST_SAME * len(measurements) else 0


def worst_patches(
    measurements: MeasurementSet | Readings, measured: FloatArray, predicted: FloatArray, difference: FloatArray
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
    measurements: MeasurementSet | Readings,
    illuminant: str | Light,
    observer: int,
    tables: DifferenceStatistics,
    limits: Limits,
    noise_limits: Limits | None = None,
) -> ErrorBudget:
    """Split the expected error of a print: the forecast that building a profile tells, with its parts.

    measurements: the readings the profile was built from, where it carries them, else those at hand. tables: the profile's
    round trip. limits: of profiles, noise_limits: of noise.
    """
    least = int(limits["model_recipes"])
    unknown = f"fewer than {least} different patches"
    if isinstance(measurements, Readings):
        unknown = "the readings hold no spectra"
    elif len(average_repeats(measurements)) >= least:
        try:
            fitted = fit_printer(measurements, illuminant, observer, limits, noise_limits=noise_limits)
        except SpectroError:  # readings that span too little of the printer carry no model; the rest still stands
            unknown = "the readings span too little of the printer"
        else:
            found = forecast_print(fitted, tables.mean, noise_limits)
            return ErrorBudget(
                repeat_noise=found.noise,
                repeat_noise_from=found.noise_from,
                model=found.model,
                table=found.tables,
                total=found.mean,
                sheet=found.sheet,
                sheet_from=found.sheet_from,
                total_range=found.mean_range,
                p95=found.p95,
                p95_range=found.p95_range,
            )
    return ErrorBudget(repeat_noise=None, repeat_noise_from=unknown, model=None, table=tables.mean, total=None)
