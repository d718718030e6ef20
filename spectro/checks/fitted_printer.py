"""Readings to a fitted device model with its forecast: the step that every judgement of a printer shares."""

from dataclasses import dataclass

import numpy as np

from spectro.chart.spread import even_points
from spectro.checks.forecast import forecast, print_forecast
from spectro.checks.print_noise import print_noise
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.print_noise import PrintNoise
from spectro.records.profile_result import Forecast, PathLattice, PrintForecast
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits

_PLACES = 400  # even device values whose expected error is looked at
_AT_END = shipped_limits("repeats")["at_end"]
_SEED = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedPrinter:
    """A model and what it was made from."""

    model: DeviceModel
    repeats: RepeatAverages
    reading_lab: FloatArray  # (n, 3) absolute PCS Lab of every reading
    recipe_lab: FloatArray  # (m, 3) of every recipe
    adaptation: FloatArray | None
    forecast: Forecast
    noise: PrintNoise  # of a reading and of sheets


def fit_printer(
    measurements: MeasurementSet,
    illuminant: str | Light = "D50",
    observer: int = 2,
    limits: Limits | None = None,
    *,
    thorough: bool = False,
    sheet: float | None = None,
    noise_limits: Limits | None = None,
) -> FittedPrinter:
    """Average repeats, go to PCS Lab under a light, and fit the device model, with its forecast.

    limits: of profiles, noise_limits: of noise; None: the shipped ones. thorough: as for `fit_gaussian_process`. sheet: mean
    ΔE00 by which another sheet differs; None: what the readings tell, else what is stated.
    Raises InputError for readings that span too little of a printer.
    """
    repeats = average_repeats(measurements)
    colours = spectra_to_pcs(repeats.reflectance, measurements.wavelengths, illuminant, observer)
    reading_lab = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    model = fit_gaussian_process(repeats.device, colours.lab, repeats.counts.astype(float), thorough=thorough)
    pages = measurements.positions[:, 0] if len(measurements.positions) else None
    return FittedPrinter(
        model=model,
        repeats=repeats,
        reading_lab=reading_lab,
        recipe_lab=colours.lab,
        adaptation=colours.adaptation,
        forecast=forecast(
            measurements, repeats, model, reading_lab, colours.lab, limits or shipped_limits("profile"), noise_limits
        ),
        noise=print_noise(reading_lab, repeats.group, pages, limits=noise_limits, sheet=sheet),
    )


def forecast_print(fitted: FittedPrinter, tables: float = 0.0, noise_limits: Limits | None = None) -> PrintForecast:
    """Return what prints of a fitted printer are expected to be off by. tables, noise_limits: as for `print_forecast`."""
    model = fitted.model
    elsewhere = np.hypot(model.uncertainty(_even_as_the_chart(fitted.repeats.device)), model.noise())
    left_out = delta_e_2000(fitted.recipe_lab, model.left_out)
    return print_forecast(left_out, model.left_out_spread, elsewhere, fitted.noise, tables, noise_limits)


def _even_as_the_chart(device: FloatArray) -> FloatArray:
    """Return even device values, moved to faces, edges and corners of the cube as often as the patches (m, channels) are."""
    rows = np.random.default_rng(_SEED).integers(len(device), size=_PLACES)
    patches = device[rows]
    at_end = np.isclose(patches, np.rint(patches), atol=_AT_END)
    return np.where(at_end, np.rint(patches), even_points(_PLACES, device.shape[1], 1))


def path_lattice(fitted: FittedPrinter) -> PathLattice:
    """Return the table that the print path of a fitted printer seems to read."""
    prior = fitted.model.prior
    if prior.table is None:
        return PathLattice(nodes=None, levels=None, gain=prior.gain)
    lattice = prior.table.lattice
    return PathLattice(nodes=lattice.nodes, levels=255 * lattice.step, gain=prior.gain)


def check_rgb(colour_space: str, origin: str) -> None:
    """Raise InputError for anything but RGB readings."""
    if colour_space != "RGB":
        raise InputError(
            f"{colour_space} device values in {origin}",
            "RGB; profiles for CMYK and other inks are not built yet",
            "Print and read an RGB chart through the printer's RGB driver.",
        )
