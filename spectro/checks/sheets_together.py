"""Several sheets of one printing condition: what belongs to each, taken out of its readings, and what they bring together."""

from dataclasses import dataclass

import numpy as np

from spectro.checks.forecast import print_forecast
from spectro.checks.print_noise import sheet_share
from spectro.colour.difference import delta_e_2000
from spectro.maths.spread import farthest_points
from spectro.model.exact import ExactModel, solve_exact
from spectro.model.gaussian_process import DeviceModel, least_to_predict, solve_gaussian_process
from spectro.model.page_places import PagePlaces, places_in_order, stated_places
from spectro.model.sheet_effects import SheetEffects, SheetReadings, sheet_effects
from spectro.records.arrays import FloatArray, IntArray, triple
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.print_noise import PrintNoise
from spectro.records.print_sheets import SheetsTogether
from spectro.records.profile_result import PrintForecast
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits

_MOST_RECIPES = 3000  # that tell what sheets differ by where the model carries kernels around a basis only


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OneSheet:
    """A model of one sheet, and what it says of the others."""

    model: DeviceModel
    device: FloatArray  # (m, channels) of its recipes
    lab: FloatArray  # (m, 3)
    missed: float  # mean ΔE00 of the readings on the other sheets


def sheet_count(measurements: MeasurementSet) -> int:
    """Return how many sheets readings stand on, as far as is known."""
    return int(measurements.sheets.max()) if len(measurements.sheets) else 1


def effects_of_sheets(
    measurements: MeasurementSet, repeats: RepeatAverages, model: DeviceModel, reading_lab: FloatArray, recipe_lab: FloatArray
) -> SheetEffects:
    """Return what the sheets of readings differ by, in Lab. model: fitted to the recipes; reading_lab: (n, 3)."""
    exact, group = _exactly(model, repeats, recipe_lab)
    readings = SheetReadings(group=group, lab=reading_lab, sheets=measurements.sheets, device=exact.device)
    plain = sheet_effects(exact, readings, None)
    residual = reading_lab - model.left_out[repeats.group] - plain.shift
    places = _places(measurements, residual)
    return plain if places is None else sheet_effects(exact, readings, places)


def _exactly(model: DeviceModel, repeats: RepeatAverages, lab: FloatArray) -> tuple[ExactModel, IntArray]:
    """Return an exact model, of some of the recipes where all are too many, and each reading's recipe in it, -1 for none."""
    if isinstance(model, ExactModel):
        return model, repeats.group
    rows = farthest_points(repeats.device, _MOST_RECIPES)
    number = np.full(len(repeats), -1)
    number[rows] = np.arange(len(rows))
    exact = solve_exact(repeats.device[rows], lab[rows], repeats.counts[rows].astype(float), model.prior)
    return exact, number[repeats.group]


def _places(measurements: MeasurementSet, residual: FloatArray) -> PagePlaces | None:
    if len(measurements.positions):
        return stated_places(measurements.positions)
    order = np.zeros(len(measurements), dtype=np.int64)
    for sheet in np.unique(measurements.sheets).tolist():
        rows = np.flatnonzero(measurements.sheets == sheet)
        names = [measurements.sample_ids[row].rpartition(":")[2] for row in rows]
        numbers = [int(name) for name in names if name.isdecimal()]
        order[rows] = np.arange(len(rows))
        if len(set(numbers)) == len(rows):  # patches that were left out leave gaps
            order[rows] = np.array(numbers) - min(numbers)
    return places_in_order(order, measurements.sheets, measurements.device, residual)


def one_sheet(
    measurements: MeasurementSet, repeats: RepeatAverages, model: DeviceModel, reading_lab: FloatArray
) -> OneSheet | None:
    """Return the model of the sheet with the most readings alone; None where it has too few. reading_lab: (n, 3) as read."""
    here = measurements.sheets == int(np.argmax(np.bincount(measurements.sheets)))
    recipes, group, counts = np.unique(repeats.group[here], return_inverse=True, return_counts=True)
    if len(recipes) < least_to_predict():
        return None
    device = repeats.device[recipes]
    sums = np.zeros((len(recipes), 3))
    np.add.at(sums, group.reshape(-1), reading_lab[here])
    lab = sums / counts[:, None]
    alone = solve_gaussian_process(device, lab, counts.astype(float), model.prior)
    missed = delta_e_2000(alone.predict(measurements.device[~here]), reading_lab[~here])
    return OneSheet(model=alone, device=device, lab=lab, missed=float(missed.mean()))


def sheets_together(
    measurements: MeasurementSet,
    effects: SheetEffects | None,
    recipe_lab: FloatArray,
    in_print: PrintForecast,
    noise: PrintNoise,
    alone: tuple[OneSheet, FloatArray] | None = None,
    limits: Limits | None = None,
) -> SheetsTogether:
    """Return what the sheets of readings are and what they brought.

    effects: None where there is one sheet. in_print: what is expected of all together. alone: the largest sheet's model, with
    its deviations (k, 3) at device values that fill the printer. limits: of noise; None: the shipped ones.
    """
    limits = limits or shipped_limits("noise")
    count = sheet_count(measurements)
    base = np.hypot(in_print.noise, in_print.model) * (limits["second_sheet"] if count == 1 else 1.0)
    another = float(np.sqrt(base**2 + in_print.tables**2 + sheet_share(noise.sheet, count + 1) ** 2))
    if effects is None:
        return SheetsTogether(count=count, parts=measurements.parts, another=another)
    expected = None
    if alone is not None:
        first, elsewhere = alone
        left_out = delta_e_2000(first.lab, first.model.left_out)
        expected = print_forecast(left_out, first.model.left_out_spread, elsewhere, noise, in_print.tables, limits).mean
    apart = [
        delta_e_2000(recipe_lab + one, recipe_lab + other).mean() for one in effects.constants for other in effects.constants
    ]
    return SheetsTogether(
        count=count,
        parts=measurements.parts,
        offsets=tuple(triple(one) for one in effects.constants),
        largest=float(max(apart)),
        gain=effects.gain,
        drift_gain=effects.drift_gain,
        drifts=effects.drifts,
        missed=None if alone is None else alone[0].missed,
        alone=expected,
        another=another,
        alike=noise.sheet_alike,
    )
