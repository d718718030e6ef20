"""Readings to a fitted device model with its forecast: the step that every judgement of a printer shares."""

from dataclasses import dataclass, replace

import numpy as np

from spectro.chart.spread import even_points
from spectro.checks.colour_regions import NAMES, region_of
from spectro.checks.forecast import forecast, print_forecast, unsampled
from spectro.checks.noise import expected_difference
from spectro.checks.print_noise import print_noise
from spectro.checks.sheets_together import effects_of_sheets, one_sheet, sheet_count, sheets_together
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.errors import InputError
from spectro.model.gaussian_process import DeviceModel, fit_gaussian_process, solve_gaussian_process
from spectro.model.ink_process import MOST_INKS, fit_ink_process
from spectro.model.sheet_effects import SheetEffects
from spectro.readings.repeats import average_repeats, grouped_means
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.light import Light
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.print_noise import PrintNoise
from spectro.records.print_sheets import SheetsTogether
from spectro.records.profile_result import Forecast, PathLattice, PrintForecast
from spectro.records.repeats import RepeatAverages
from spectro.standards.limits import shipped_limits

_PLACES = 400  # even device values whose expected error is looked at
_AT_END = shipped_limits("repeats")["at_end"]
_SEED = 5
_LEAST = 1e-9  # ΔE00
_RGB = 3  # channels
_CORNER_WEIGHT = 50  # a corner counts as this part of all places


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
    effects: SheetEffects | None = None  # of several sheets, taken out of all Lab here; None: one sheet
    raw_lab: FloatArray | None = None  # (n, 3) of every reading as read, where there are several sheets

    @property
    def sheets(self) -> int:
        """How many sheets were read, as far as is known."""
        return 1 if self.effects is None else len(self.effects.constants)


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
    recipe_lab, counts = colours.lab, repeats.counts.astype(float)
    fit = fit_ink_process if is_inks(measurements.colour_space) else fit_gaussian_process
    model = fit(repeats.device, recipe_lab, counts, thorough=thorough)
    noise = print_noise(reading_lab, repeats.group, _papers(measurements), limits=noise_limits, sheet=sheet)
    effects, raw_lab = None, None
    if sheet_count(measurements) > 1:
        effects, raw_lab = effects_of_sheets(measurements, repeats, model, reading_lab, recipe_lab), reading_lab
        reading_lab = reading_lab - effects.shift
        recipe_lab = recipe_lab - grouped_means(effects.shift, repeats.group)
        model = solve_gaussian_process(repeats.device, recipe_lab, counts, model.prior)
    return FittedPrinter(
        model=model,
        repeats=repeats,
        reading_lab=reading_lab,
        recipe_lab=recipe_lab,
        adaptation=colours.adaptation,
        forecast=forecast(
            measurements, repeats, model, reading_lab, recipe_lab, limits or shipped_limits("profile"), noise_limits
        ),
        noise=noise,
        effects=effects,
        raw_lab=raw_lab,
    )


def forecast_print(fitted: FittedPrinter, tables: float = 0.0, noise_limits: Limits | None = None) -> PrintForecast:
    """Return what prints of a fitted printer are expected to be off by. tables, noise_limits: as for `print_forecast`."""
    left_out = delta_e_2000(fitted.recipe_lab, fitted.model.left_out)
    elsewhere = _elsewhere(fitted.model, fitted.repeats.device)
    sheets = fitted.sheets if fitted.noise.sheet_alike is None else 1
    found = print_forecast(left_out, fitted.model.left_out_spread, elsewhere, fitted.noise, tables, noise_limits, sheets=sheets)
    limits = noise_limits or shipped_limits("noise")
    return replace(found, unsampled_colours=_unsampled_colours(fitted, limits, some=found.unsampled > 0))


def _unsampled_colours(fitted: FittedPrinter, limits: Limits, *, some: bool) -> tuple[str, ...]:
    """Return the names of the colours that no patch is near to, those with most device values first; of RGB alone.

    some: there are many inside; else corners alone are asked, where the fullest colours and black stand: each counts as many
    others do. Of inks, most totals are beyond what prints.
    """
    known = fitted.repeats.device
    if known.shape[1] != _RGB:
        return ()
    corners = np.stack(np.meshgrid(*[[0.0, 1.0]] * _RGB, indexing="ij"), axis=-1).reshape(-1, _RGB)
    places = np.repeat(corners, _PLACES // _CORNER_WEIGHT, axis=0)
    places = np.vstack([places, _even_as_the_chart(known)]) if some else places
    spread = np.hypot(fitted.model.uncertainty(places), fitted.model.noise())
    far = unsampled(fitted.model.left_out_spread, spread, limits)
    names, counts = np.unique(region_of(fitted.model.predict(places[far])), return_counts=True)
    return tuple(NAMES[name] for name in names[np.argsort(-counts, kind="stable")].tolist())


def trust(fitted: FittedPrinter) -> float:
    """Return how many times the spread that a model believes in its errors are: half the way to its left-out patches' (in
    ratios), which lie apart and know themselves worst.
    """
    said = expected_difference(fitted.recipe_lab, fitted.model.left_out_spread)
    return float(np.sqrt(fitted.forecast.cross_validation.mean / max(said, _LEAST)))


def fitted_sheets(
    measurements: MeasurementSet, fitted: FittedPrinter, in_print: PrintForecast, noise_limits: Limits | None = None
) -> SheetsTogether:
    """Return what the sheets of readings are and what they brought. in_print: what is expected of all of them together."""
    alone = None
    if fitted.raw_lab is not None:
        first = one_sheet(measurements, fitted.repeats, fitted.model, fitted.raw_lab)
        alone = (first, _elsewhere(first.model, first.device)) if first else None
    return sheets_together(measurements, fitted.effects, fitted.recipe_lab, in_print, fitted.noise, alone, noise_limits)


def _papers(measurements: MeasurementSet) -> IntArray | None:
    """Return the piece of paper (n,) each reading stands on, by sheet and page; None where neither is known."""
    pages, sheets = measurements.positions[:, 0], measurements.sheets
    if len(pages) and len(sheets):
        return np.asarray(sheets * (int(pages.max()) + 1) + pages)
    return sheets if len(sheets) else pages if len(pages) else None


def _elsewhere(model: DeviceModel, device: FloatArray) -> FloatArray:
    """Return deviations (k, 3) of readings from a model at even device values; device: (m, channels) of its patches."""
    return np.hypot(model.uncertainty(_even_as_the_chart(device)), model.noise())


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


def is_inks(colour_space: str) -> bool:
    """Tell whether device values are three inks or more, as printers behind a RIP take them.

    >>> is_inks("CMYK"), is_inks("7CLR"), is_inks("RGB"), is_inks("GRAY")
    (True, True, False, False)
    """
    return colour_space in ("CMY", "CMYK") or colour_space.endswith("CLR")


def check_profiled(colour_space: str, channels: int, origin: str) -> None:
    """Raise InputError for device values that no profile with colours is built from: one channel, two, or too many."""
    fewest = int(shipped_limits("inks")["fewest_inks"])
    if colour_space == "RGB" or (is_inks(colour_space) and fewest <= channels <= MOST_INKS):
        return
    raise InputError(
        f"{channels} channels ({colour_space}) in {origin}",
        f"RGB, CMYK, or {fewest} to {MOST_INKS} inks",
        "Print and read a chart in the channels that the printer takes; spectro profile monochrome serves prints in grey.",
    )


def check_rgb(colour_space: str, origin: str, why: str = "it asks what an RGB driver does") -> None:
    """Raise InputError for anything but RGB readings. why: what makes the step one of RGB alone, in words."""
    if colour_space != "RGB":
        raise InputError(
            f"{colour_space} device values in {origin}",
            f"RGB: {why}",
            "Inks are taken by spectro profile build, assess, proof-page, top-up, and by spectro drift and paper compare.",
        )
