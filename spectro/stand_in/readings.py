"""Print device values on the stand-in and read the sheet: arrays for tests, whole measurement sets for demo data."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from spectro.errors import InputError, ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, IntArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import Paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet

CREATED = "2026-01-01T00:00:00Z"  # invented, as everything here
ORIGIN = "invented"


def print_and_read(
    device: ArrayLike,
    *,
    printer: Printer,
    paper: Paper,
    instrument: Instrument,
    condition: MeasurementCondition,
    seed: int,
    sheet_seed: int | None = None,
    variation: SheetVariation | None = None,
) -> FloatArray:
    """Print device values and read them one after the other with the instrument's noise.

    device: (n, 3), red, green and blue, 0 to 1, in reading order.
    seed: of the reading; the same seed gives the same noise. 0 or more.
    sheet_seed: of the sheet, None: the printer exactly as it is. Two readings with one sheet_seed are of one sheet.
    variation: how much sheets differ; None: the defaults of SheetVariation. Without a sheet_seed it has no effect.
    Returns reflectance factor (n, 36), 380 to 730 nm, rounded as the instrument reports it.
    Raises ShapeError or InputError for device values of another shape or range, InputError for a negative seed.
    """
    values = np.asarray(device, dtype=np.float64)
    if values.ndim != 2:
        raise ShapeError(f"device has shape {values.shape}; expected (n, 3)")
    if seed < 0 or (sheet_seed is not None and sheet_seed < 0):
        raise InputError(f"seeds {seed} and {sheet_seed}", "seeds of 0 or more", "Choose others.")
    if sheet_seed is not None:
        printer = vary_sheet(printer, variation or SheetVariation(), np.random.default_rng(sheet_seed))
    true = printed_reflectance(values, printer=printer, paper=paper, condition=condition)
    return read_spectra(true, instrument, np.random.default_rng(seed))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadSheet:
    """One sheet of the stand-in and one reading of it; as in print_and_read."""

    printer: Printer
    paper: Paper
    instrument: Instrument
    condition: MeasurementCondition
    seed: int
    sheet_seed: int | None = None
    variation: SheetVariation | None = None


class PrintedChart(Protocol):
    """A chart as it is printed: n patches in reading order."""

    @property
    def device(self) -> FloatArray:
        """Device values (n, 3), 0 to 1."""

    @property
    def positions(self) -> IntArray:
        """Page, row and column (n, 3) from 1."""

    @property
    def sample_ids(self) -> Sequence[str]:
        """What each patch is called in files."""

    @property
    def sample_names(self) -> Sequence[str]:
        """What each patch is called on the page."""


def chart_measurements(
    chart: PrintedChart, sheet: ReadSheet, *, created: str = CREATED, origin: str = ORIGIN, description: str = ""
) -> MeasurementSet:
    """Print a chart on the stand-in and read it; as `stand_in_measurements` otherwise.

    chart: with device values, ids, names and places of its patches. sheet: the sheet and its reading. created: ISO date.
    origin: a note, which says that the data is invented.
    """
    return stand_in_measurements(
        chart.device,
        sheet,
        positions=chart.positions,
        sample_ids=chart.sample_ids,
        sample_names=chart.sample_names,
        created=created,
        origin=origin,
        description=description,
    )


def stand_in_measurements(
    device: ArrayLike,
    sheet: ReadSheet,
    *,
    positions: IntArray,
    sample_ids: Sequence[str] = (),
    sample_names: Sequence[str] = (),
    created: str = CREATED,
    origin: str = ORIGIN,
    description: str = "",
) -> MeasurementSet:
    """Print a chart on the stand-in, read it, and return the readings as a file of an instrument would hold them.

    device: (n, 3), 0 to 1, in reading order. positions: (n, 3) page, row, column from 1, or (0, 3).
    sample_ids, sample_names: n each; none: numbers from 1, and no names.
    The backing is white; instrument and origin say that the data is invented.
    """
    reflectance = print_and_read(
        device,
        printer=sheet.printer,
        paper=sheet.paper,
        instrument=sheet.instrument,
        condition=sheet.condition,
        seed=sheet.seed,
        sheet_seed=sheet.sheet_seed,
        variation=sheet.variation,
    )
    return MeasurementSet(
        sample_ids=tuple(sample_ids) or tuple(str(row + 1) for row in range(len(reflectance))),
        sample_names=tuple(sample_names) or ("",) * len(reflectance),
        colour_space="RGB",
        device=np.asarray(device, dtype=np.float64),
        wavelengths=WAVELENGTHS,
        reflectance=reflectance,
        condition=sheet.condition,
        backing=Backing.WHITE,
        created=created,
        instrument=sheet.instrument.name,
        description=description,
        origin=origin,
        positions=positions,
    )
