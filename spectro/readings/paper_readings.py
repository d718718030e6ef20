"""Readings of a paper, sorted by measurement condition: of a printed chart, or of the blank sheet alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from spectro.errors import InputError
from spectro.files.field_names import device_field
from spectro.readings.content import read_tables
from spectro.readings.greys import paper_row
from spectro.readings.load import conditions_of, load_readings, load_spectra
from spectro.readings.one_condition import BarePaper, bare_paper, check_labels, check_one_condition
from spectro.readings.repeats import average_repeats, recipe_names
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions

NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ConditionReadings:
    """Recipes read under one measurement condition, repeats averaged as reflectance."""

    condition: MeasurementCondition | None
    device: FloatArray  # (n, channels), 0 to 1; (n, 0) where only the blank sheet was read
    reflectance: FloatArray  # (n, bands)
    wavelengths: FloatArray
    paper: int  # row of the unprinted paper
    paper_readings: int
    origin: str
    measurements: MeasurementSet | None  # None: the blank sheet alone
    sheet: BarePaper | None = None  # every reading of the blank sheet alone

    @property
    def word(self) -> str:
        """The condition as reports call it."""
        return self.condition or NOT_STATED

    @property
    def bare_paper(self) -> BarePaper | None:
        """Every reading of the bare paper."""
        return self.sheet if self.measurements is None else bare_paper(self.measurements)


def read_paper(paths: Sequence[Path], options: ReadingOptions) -> tuple[ConditionReadings, ...]:
    """Read files of one paper and return what was read under each condition, in the order M1, M0, M2, M3, not stated.

    The condition of the options is for files that do not state theirs.
    Raises errors of `spectro.errors`, also where no patch is unprinted.
    """
    printed = [path for path in paths if options.chart is not None or _has_device(path, options.columns)]
    if printed and len(printed) < len(paths):
        raise InputError(
            "readings of a chart together with readings without device values", "one of them", "Read them by themselves."
        )
    files: dict[MeasurementCondition | None, tuple[Path, ...]] = {}
    for condition, found in conditions_of(paths, options).items():
        known = condition or options.condition
        files[known] = tuple(path for path in paths if path in (*files.get(known, ()), *found))
    order = [*_ORDER, *(found for found in files if found not in _ORDER)]
    read = _of_chart if printed else _of_sheet
    sorted_out = tuple(read(files[one], replace(options, condition=one)) for one in order if one in files)
    papers = [paper.bare_paper for paper in sorted_out]
    check_one_condition(papers)
    check_labels(papers)
    return sorted_out


_ORDER: tuple[MeasurementCondition | None, ...] = (
    MeasurementCondition.M1,
    MeasurementCondition.M0,
    MeasurementCondition.M2,
    MeasurementCondition.M3,
)


def _has_device(path: Path, columns: Mapping[str, str]) -> bool:
    return any(device_field(name) for table in read_tables(path, columns) for name in table.fields)


def _of_chart(paths: Sequence[Path], options: ReadingOptions) -> ConditionReadings:
    measurements = load_readings(paths, options)
    averages = average_repeats(measurements)
    paper = paper_row(measurements.colour_space, averages.device, averages.reflectance.mean(axis=1))
    if paper is None:
        raise InputError(
            f"no unprinted patch in {measurements.origin}",
            "a patch of bare paper",
            "Measure one, or read the blank sheet alone.",
        )
    return ConditionReadings(
        condition=options.condition,
        device=averages.device,
        reflectance=averages.reflectance,
        wavelengths=measurements.wavelengths,
        paper=paper,
        paper_readings=int(averages.counts[paper]),
        origin=measurements.origin,
        measurements=measurements,
    )


def _of_sheet(paths: Sequence[Path], options: ReadingOptions) -> ConditionReadings:
    found = load_spectra(paths, options)
    return ConditionReadings(
        condition=options.condition,
        device=np.zeros((1, 0)),
        reflectance=found.reflectance.mean(axis=0)[None, :],
        wavelengths=found.wavelengths,
        paper=0,
        paper_readings=len(found),
        origin=found.origin,
        measurements=None,
        sheet=BarePaper(
            origin=found.origin, condition=options.condition, wavelengths=found.wavelengths, reflectance=found.reflectance
        ),
    )


def paired_rows(first: ConditionReadings, second: ConditionReadings) -> tuple[FloatArray, FloatArray, int]:
    """Return reflectances (n, bands) of the recipes both have, and the row of the paper among them."""
    if first.wavelengths.shape != second.wavelengths.shape or not np.array_equal(first.wavelengths, second.wavelengths):
        raise InputError(
            f"other wavelengths under {second.word} than under {first.word}", "the same", "Export them in the same way."
        )
    places = {key: row for row, key in enumerate(recipe_names(second.device))}
    rows = [(row, places[key]) for row, key in enumerate(recipe_names(first.device)) if key in places]
    paper = [row for row, _ in rows].index(first.paper)
    return first.reflectance[[row for row, _ in rows]], second.reflectance[[row for _, row in rows]], paper
