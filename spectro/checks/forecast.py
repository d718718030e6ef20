"""The forecast: cross-validated error, repeat noise, readings that do not fit their neighbours, the error of a print."""

import numpy as np

from spectro.checks.noise import expected_difference
from spectro.checks.print_noise import repeat_noise, sheet_share
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.model.gaussian_process import DeviceModel
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.print_noise import PrintNoise
from spectro.records.profile_result import Forecast, PrintForecast, SuspectPatch
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits

METHOD = "leave-one-out over different device values, hyperparameters held, replicates left out together"
PRINT_METHOD = (
    "halfway between the errors of left-out patches and these over their predicted spread times the predicted spread at even "
    "device values, as many on faces and edges as in the chart; tables and another sheet added in squares"
)
_MOST_SUSPECTS = 20
_QUANTILES = 200


def forecast(
    measurements: MeasurementSet,
    repeats: RepeatAverages,
    model: DeviceModel,
    reading_lab: FloatArray,
    recipe_lab: FloatArray,
    limits: Limits,
    noise_limits: Limits | None = None,
) -> Forecast:
    """Return the forecast of a fitted model.

    repeats: the readings by recipe. reading_lab: (n, 3) of every reading; recipe_lab: (m, 3), the mean Lab of each recipe.
    limits: of profiles. noise_limits: of noise; None: the shipped ones.
    """
    difference = delta_e_2000(model.left_out, recipe_lab)
    deviations = (np.abs(model.left_out - recipe_lab) / model.left_out_spread).max(axis=1)
    return Forecast(
        cross_validation=difference_statistics(difference),
        cross_validation_method=METHOD,
        repeat_noise=repeat_noise(reading_lab, repeats.group, repeats.counts, noise_limits),
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


def print_forecast(
    left_out: FloatArray,
    spread: FloatArray,
    elsewhere: FloatArray,
    noise: PrintNoise,
    tables: float = 0.0,
    limits: Limits | None = None,
    *,
    sheets: int = 1,
) -> PrintForecast:
    """Return what a print through a profile will be off by: all colours instead of the patches, and on another sheet.

    left_out: (m,) ΔE00 of each patch from the prediction without it; spread: (m, 3), that prediction's standard deviations
    of L*, a*, b*; elsewhere: (k, 3), those of predictions at device values that fill the printer evenly, the noise of a
    reading in both. A chart's patches lie apart, so that one left out is predicted worse than most colours are, while the
    spread a model believes in is a little too small where it was not asked: the geometric mean of both is taken. noise: of a
    reading and of sheets; tables: mean ΔE00 that tables lose. limits: of noise; None: the shipped ones. sheets: how many were
    read, of which the model knows the mean. Left-out patches say nothing of colours that are far from all of them: where these
    are many, the spread alone counts there.
    """
    limits = limits or shipped_limits("noise")
    share = left_out / np.sqrt((spread**2).mean(axis=1))
    shares = np.quantile(share, (np.arange(_QUANTILES) + 0.5) / _QUANTILES)
    errors = np.outer(shares, np.sqrt((elsewhere**2).mean(axis=1)))
    far = unsampled(spread, elsewhere, limits)
    far = far if far.mean() >= limits["unsampled_share"] else np.zeros_like(far)
    near = errors[:, ~far] if not far.all() else errors
    base = float(np.sqrt(near.mean() * left_out.mean()))
    base_p95 = float(np.sqrt(np.percentile(near, 95) * np.percentile(left_out, 95)))
    if far.any():
        every = np.where(far, errors, errors * base / near.mean())
        base, base_p95 = float(every.mean()), float(np.percentile(every, 95))
    sheet = sheet_share(noise.sheet, sheets)
    mean = float(np.sqrt(base**2 + tables**2 + sheet**2))
    p95 = float(np.sqrt(base_p95**2 + (base_p95 / max(base, 1e-9) * tables) ** 2 + (limits["sheet_p95"] * sheet) ** 2))
    wide = limits["range"] if noise.sheet_measured else limits["range_stated"]
    reading = min(noise.reading, base)
    return PrintForecast(
        mean=mean,
        mean_range=((1 - wide) * mean, (1 + wide) * mean),
        p95=p95,
        p95_range=((1 - wide) * p95, (1 + wide) * p95),
        noise=reading,
        noise_from=noise.reading_from,
        model=float(np.sqrt(base**2 - reading**2)),
        tables=tables,
        sheet=sheet,
        sheet_from=noise.sheet_from,
        method=PRINT_METHOD,
        unsampled=float(far.mean()),
        unsampled_mean=float(errors[:, far].mean()) if far.any() else 0.0,
    )


def unsampled(spread: FloatArray, elsewhere: FloatArray, limits: Limits) -> BoolArray:
    """Return which device values (k,) lie so far from all patches that a chart says nothing of them.

    spread: (m, 3) standard deviations of Lab of patches predicted without themselves; elsewhere: (k, 3) of those device values.
    limits: of noise.
    """
    own, there = (np.sqrt((one**2).mean(axis=1)) for one in (spread, elsewhere))
    return np.asarray(
        there > max(limits["unsampled"], limits["unsampled_spreads"] * float(np.percentile(own, limits["unsampled_patches"])))
    )
