"""Readings of a paper, sorted by measurement condition: of a printed chart, or of the blank sheet alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import InputError
from spectro.files.field_names import device_field
from spectro.readings.content import read_tables
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.readings.sections import file_sections
from spectro.readings.spectra_only import conditions_of, load_spectra
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet

NOT_STATED = "not stated"
_NO_INK = {"RGB": 1.0}  # device value of unprinted paper; of inks it is 0
_SAME = 1e-6


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

    @property
    def word(self) -> str:
        """The condition as reports call it."""
        return self.condition or NOT_STATED


def read_paper(
    paths: Sequence[Path],
    *,
    chart: Path | None,
    condition: MeasurementCondition | None,
    device_scale: int | None,
    columns: Mapping[str, str] | None = None,
) -> tuple[ConditionReadings, ...]:
    """Read files of one paper and return what was read under each condition, in the order M1, M0, M2, M3, not stated.

    condition: for files that do not state theirs. columns: field name to the name a file uses instead.
    Raises errors of `spectro.errors`, also where no patch is unprinted.
    """
    if not paths:
        raise InputError("no file of readings", "at least one", "Name it.")
    files: dict[MeasurementCondition | None, list[Path]] = {}
    printed = [path for path in paths if chart is not None or _has_device(path, columns)]
    if printed and len(printed) < len(paths):
        raise InputError("readings of a chart beside readings without device values", "one of them", "Read them by themselves.")
    for path in paths:
        for found in _conditions(path, columns, printed=bool(printed)):
            files.setdefault(found or condition, []).append(path)
    order = [*_ORDER, *(found for found in files if found not in _ORDER)]
    if printed:
        return tuple(_of_chart(files[one], chart, one, device_scale, columns) for one in order if one in files)
    return tuple(_of_sheet(files[one], one) for one in order if one in files)


_ORDER: tuple[MeasurementCondition | None, ...] = (
    MeasurementCondition.M1,
    MeasurementCondition.M0,
    MeasurementCondition.M2,
    MeasurementCondition.M3,
)


def _has_device(path: Path, columns: Mapping[str, str] | None) -> bool:
    return any(device_field(name) for table in read_tables(path, columns) for name in table.fields)


def _conditions(path: Path, columns: Mapping[str, str] | None, *, printed: bool) -> tuple[MeasurementCondition | None, ...]:
    if not printed:
        return conditions_of(path)
    sections = file_sections(read_tables(path, columns), path, 0)
    return tuple(dict.fromkeys(section.condition for section in sections))


def _of_chart(
    paths: list[Path],
    chart: Path | None,
    condition: MeasurementCondition | None,
    device_scale: int | None,
    columns: Mapping[str, str] | None,
) -> ConditionReadings:
    measurements = load_readings(paths, chart=chart, condition=condition, device_scale=device_scale, columns=columns)
    averages = average_repeats(measurements)
    no_ink = _no_ink(measurements.colour_space, averages.device, averages.reflectance)
    blank = np.flatnonzero((np.abs(averages.device - no_ink) < _SAME).all(axis=1))
    if not len(blank):
        raise InputError(
            f"no unprinted patch in {measurements.origin}",
            "a patch of bare paper",
            "Measure one, or read the blank sheet alone.",
        )
    paper = int(blank[0])
    return ConditionReadings(
        condition=condition,
        device=averages.device,
        reflectance=averages.reflectance,
        wavelengths=measurements.wavelengths,
        paper=paper,
        paper_readings=int(averages.counts[paper]),
        origin=measurements.origin,
        measurements=measurements,
    )


def _no_ink(colour_space: str, device: FloatArray, reflectance: FloatArray) -> float:
    """Return the device value of bare paper; a grey channel may count light or ink, and the lighter end tells which."""
    if colour_space == "GRAY":
        lightest = int(np.argmax(reflectance.mean(axis=1)))
        return float(np.round(device[lightest, 0]))
    return _NO_INK.get(colour_space, 0.0)


def _of_sheet(paths: list[Path], condition: MeasurementCondition | None) -> ConditionReadings:
    sets = [load_spectra(path, condition) for path in paths]
    for other in sets[1:]:
        if not np.array_equal(other.wavelengths, sets[0].wavelengths):
            raise InputError(
                f"other wavelengths in {other.origin} than in {sets[0].origin}",
                "the same in all",
                "Export them in the same way.",
            )
    reflectance = np.concatenate([one.reflectance for one in sets])
    return ConditionReadings(
        condition=condition,
        device=np.zeros((1, 0)),
        reflectance=reflectance.mean(axis=0)[None, :],
        wavelengths=sets[0].wavelengths,
        paper=0,
        paper_readings=len(reflectance),
        origin=", ".join(one.origin for one in sets),
        measurements=None,
    )


def paired_rows(first: ConditionReadings, second: ConditionReadings) -> tuple[FloatArray, FloatArray, int]:
    """Return reflectances (n, bands) of the recipes both have, and the row of the paper among them."""
    if first.wavelengths.shape != second.wavelengths.shape or not np.array_equal(first.wavelengths, second.wavelengths):
        raise InputError(
            f"other wavelengths under {second.word} than under {first.word}", "the same", "Export them in the same way."
        )
    keys = {key.tobytes(): row for row, key in enumerate(np.round(second.device / _SAME).astype(np.int64))}
    rows = [
        (row, keys[key.tobytes()])
        for row, key in enumerate(np.round(first.device / _SAME).astype(np.int64))
        if key.tobytes() in keys
    ]
    paper = [row for row, _ in rows].index(first.paper)
    return first.reflectance[[row for row, _ in rows]], second.reflectance[[row for _, row in rows]], paper
