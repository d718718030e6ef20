"""Readings of control prints from files: with spectra or with Lab alone, with device values or joined by row."""

import logging
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.cgats_table import CgatsTable
from spectro.files.field_names import device_field, spectral_fields
from spectro.readings.chart_join import joined_rows
from spectro.readings.content import read_tables
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.file_lab import file_lab
from spectro.readings.load import load_readings
from spectro.readings.patches import ID_FIELDS, table_patches
from spectro.readings.spectra_only import load_spectra
from spectro.readings.statements import stated_condition, stated_date, stated_scale
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.drift import ControlReading

_LOG = logging.getLogger("spectro")
_DATE = re.compile(r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)")
_SAME = 1e-6  # device values nearer than this are those of one recipe
LEAST_PATCHES = 12
_NOT_READINGS = {".html", ".json", ".pdf", ".png", ".toml", ".md", ".icc", ".icm", ".tif", ".tiff"}


class Join(StrEnum):
    """How patches of two files are told to be the same."""

    ROW = "row"
    ID = "id"
    DEVICE = "device"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileReading:
    """One file of control readings, with what joins and messages need beside the colours."""

    path: Path
    reading: ControlReading
    ids: tuple[str, ...]
    condition: MeasurementCondition | None
    spectra: bool


def load_control(
    path: Path,
    *,
    chart: Path | None = None,
    condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
) -> FileReading:
    """Read one file. Lab is computed from spectra where there are some (D50, 2°), else taken from the file.

    columns: field name to the name the file uses instead. The date is the file's own, else one in its name such as
    2026-01-31, else none. Raises errors of `spectro.errors`.
    """
    tables = read_tables(path, columns)
    spectral = [table for table in tables if spectral_fields(table.fields)]
    table = (spectral or tables)[0]
    has_device = any(device_field(name) for name in table.fields)
    nothing: FloatArray = np.zeros((0, 0))
    if spectral and (has_device or chart is not None):
        found = load_readings([path], chart=chart, condition=condition, device_scale=device_scale, columns=columns)
        lab = spectra_to_lab(found.reflectance, found.wavelengths)
        ids, stated, device, space = found.sample_ids, found.condition, found.device, found.colour_space
    elif spectral:
        spectra = load_spectra(path, condition, columns)
        lab = spectra_to_lab(spectra.reflectance, spectra.wavelengths)
        ids, stated, device, space = spectra.sample_ids, spectra.condition, nothing, None
    else:
        lab, stated = _stated_lab(table, path, condition)
        column = table.column(*ID_FIELDS)
        ids = table.texts(column) if column is not None else tuple(str(row + 1) for row in range(len(table.rows)))
        device, space = _device(table, path, chart, device_scale)
    date = stated_date(table) or _date_in(path.name)
    return FileReading(
        path=path,
        reading=ControlReading(
            lab=lab,
            device=device if space is not None else np.zeros((len(lab), 0)),
            colour_space=space,
            date=datetime.fromisoformat(date) if date else None,
            origin=path.name,
        ),
        ids=ids,
        condition=stated,
        spectra=bool(spectral),
    )


def _date_in(name: str) -> str | None:
    found = _DATE.search(name)
    if found is None:
        return None
    try:
        return datetime(int(found[1]), int(found[2]), int(found[3]), tzinfo=UTC).isoformat()
    except ValueError:
        return None


def _stated_lab(
    table: CgatsTable, path: Path, condition: MeasurementCondition | None
) -> tuple[FloatArray, MeasurementCondition | None]:
    stated = file_lab(table, path)
    if not len(stated.lab):
        raise MeasurementFileError(
            path, table.fields_line, "no spectra and no Lab", "spectra, or Lab under D50 and 2°", "Export the readings again."
        )
    if (stated.illuminant or "D50", stated.observer or 2) != ("D50", 2):
        raise MeasurementFileError(
            path, 0, f"Lab for {stated.illuminant}, {stated.observer}°", "D50 and 2°", "Export it so, or with spectra."
        )
    if condition and stated.condition and condition != stated.condition:
        raise MeasurementFileError(path, 0, f"readings of {stated.condition}", str(condition), "Leave the option away.")
    return stated.lab, stated_condition(table, path) or condition


def _device(table: CgatsTable, path: Path, chart: Path | None, scale: int | None) -> tuple[FloatArray, str | None]:
    patches = table_patches(table, path)
    if patches.colour_space is not None:
        return device_factors(patches, decided_scale([patches], [stated_scale(table, path)], scale)), patches.colour_space
    if chart is None:
        return np.zeros((0, 0)), None
    chart_table = read_tables(chart)[0]
    listed = table_patches(chart_table, chart)
    if listed.colour_space is None:
        raise MeasurementFileError(chart, 0, "no device values", "the table of a chart", "Give the chart's own table.")
    factors = device_factors(listed, decided_scale([listed], [stated_scale(chart_table, chart)], scale))
    return factors[joined_rows([patches], listed)], listed.colour_space


def history_files(folder: Path, besides: Sequence[Path]) -> tuple[Path, ...]:
    """Return the files of readings in a folder, by name, without those named elsewhere. Raises InputError for no folder."""
    if not folder.is_dir():
        raise InputError(f"no folder {folder}", "a folder of dated readings", "Check --history.")
    known = {path.resolve() for path in besides}
    return tuple(
        path
        for path in sorted(folder.iterdir())
        if path.is_file()
        and not path.name.startswith(".")
        and path.suffix.lower() not in _NOT_READINGS
        and path.resolve() not in known
    )


def load_history(paths: Sequence[Path], **options: object) -> tuple[tuple[FileReading, ...], tuple[str, ...]]:
    """Read files of a history folder; what is no reading is left out, with a sentence each that says why."""
    found, cautions = [], []
    for path in paths:
        try:
            found.append(load_control(path, **options))  # type: ignore[arg-type]
        except SpectroError as error:
            cautions.append(f"Left out of the history: {error}")
            _LOG.warning("left out of the history: %s", error)
    return tuple(found), tuple(cautions)


def joined(reference: FileReading, checks: Sequence[FileReading], join: Join | None) -> tuple[list[ControlReading], Join]:
    """Return the reference and the checks with the same patches in the reference's order, and how they were joined.

    join: None: by device values where all files have them, else by row. Repeats of a patch are averaged where joined by
    id or device values. Raises InputError where fewer than twelve patches are the same.
    """
    every = [reference, *checks]
    _check_conditions(every)
    if join is None:
        join = Join.DEVICE if all(one.reading.colour_space for one in every) else Join.ROW
    if join is Join.ROW:
        for one in checks:
            if len(one.reading) != len(reference.reading):
                raise InputError(
                    f"{len(one.reading)} rows in {one.path} and {len(reference.reading)} in {reference.path}",
                    "the same patches in the same order",
                    "Give the chart's table with --chart, or choose --join id.",
                )
        known = next((one.reading for one in every if one.reading.colour_space), None)
        device, space = (known.device, known.colour_space) if known else (reference.reading.device, None)
        return [replace(one.reading, device=device, colour_space=space) for one in every], join
    keyed = [_keyed(one, join) for one in every]
    common = [key for key in keyed[0] if all(key in other for other in keyed[1:])]
    if len(common) < LEAST_PATCHES:
        raise InputError(
            f"{len(common)} patches that are in all files",
            f"{LEAST_PATCHES} or more of the same {'device values' if join is Join.DEVICE else 'ids'}",
            "Read the same control print each time, or choose --join row where rows are the same patches.",
        )
    readings = []
    for one, rows in zip(every, keyed, strict=True):
        lab = np.stack([one.reading.lab[rows[key]].mean(axis=0) for key in common])
        first = [rows[key][0] for key in common]
        readings.append(replace(one.reading, lab=lab, device=one.reading.device[first]))
    return readings, join


def _check_conditions(every: Sequence[FileReading]) -> None:
    stated = [one for one in every if one.condition]
    for one in stated:
        if one.condition != stated[0].condition:
            raise InputError(
                f"{one.condition} in {one.path} and {stated[0].condition} in {stated[0].path}",
                "one measurement condition",
                "Readings of two conditions differ by the paper's brightener, not by drift. Read again under the same one.",
            )
    spaces = {one.reading.colour_space for one in every if one.reading.colour_space}
    if len(spaces) > 1:
        raise InputError(f"device values of {' and '.join(sorted(map(str, spaces)))}", "one kind", "Choose other files.")


def _keyed(one: FileReading, join: Join) -> dict[object, list[int]]:
    rows: dict[object, list[int]] = {}
    if join is Join.DEVICE and one.reading.colour_space is None:
        raise InputError(f"no device values in {one.path}", "device values, or --chart", "Choose --join row or --join id.")
    for row, identity in enumerate(one.ids):
        key: object = identity
        if join is Join.DEVICE:
            key = tuple(np.round(one.reading.device[row] / _SAME).astype(np.int64).tolist())
        rows.setdefault(key, []).append(row)
    return rows
