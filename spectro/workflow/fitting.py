"""Readings to a fitted device model: the step that building and assessing share."""

from dataclasses import dataclass

from spectro.checks.forecast import forecast
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError
from spectro.model.gaussian_process import GaussianProcessModel, fit_gaussian_process
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import FloatArray
from spectro.records.light import Light
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_result import Forecast
from spectro.records.repeats import RepeatAverages


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedPrinter:
    """A model and what it was made from."""

    model: GaussianProcessModel
    repeats: RepeatAverages
    reading_lab: FloatArray  # (n, 3) absolute PCS Lab of every reading
    adaptation: FloatArray | None
    forecast: Forecast


def fit_printer(measurements: MeasurementSet, illuminant: str | Light = "D50", observer: int = 2) -> FittedPrinter:
    """Average repeats, go to PCS Lab under a light, and fit the device model, with its forecast."""
    repeats = average_repeats(measurements)
    colours = spectra_to_pcs(repeats.reflectance, measurements.wavelengths, illuminant, observer)
    reading_lab = spectra_to_pcs(measurements.reflectance, measurements.wavelengths, illuminant, observer).lab
    model = fit_gaussian_process(repeats.device, colours.lab, repeats.counts.astype(float))
    return FittedPrinter(
        model=model,
        repeats=repeats,
        reading_lab=reading_lab,
        adaptation=colours.adaptation,
        forecast=forecast(
            measurements,
            reading_lab,
            colours.lab,
            model.left_out,
            model.left_out_spread,
            model.noise(),
            repeats.group,
            repeats.counts,
            repeats.first,
        ),
    )


def check_rgb(colour_space: str, origin: str) -> None:
    """Raise InputError for anything but RGB readings."""
    if colour_space != "RGB":
        raise InputError(
            f"{colour_space} device values in {origin}",
            "RGB; profiles for CMYK and other inks are not built yet",
            "Print and read an RGB chart through the printer's RGB driver.",
        )
