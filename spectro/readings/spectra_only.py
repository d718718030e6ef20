"""Spectra of a file as they are: with or without device values, evenly spaced or not. For tables of colours.

Profiles need more (`load_readings`). References: [ISO-28178]; [ISO-13655-2017].
"""

from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.field_names import spectral_fields
from spectro.files.numeric_cells import numeric_columns
from spectro.readings.content import read_tables
from spectro.readings.patches import ID_FIELDS, NAME_FIELDS
from spectro.readings.spectra import Spectra, reflectance_factors, table_spectra
from spectro.readings.statements import stated_condition
from spectro.records.conditions import MeasurementCondition
from spectro.records.spectra_set import SpectraSet


def load_spectra(path: Path, condition: MeasurementCondition | None = None) -> SpectraSet:
    """Read the spectra of the first table of a file that has some.

    condition: picks among several in the names of the fields, stands in where none is stated, is an error where it
    contradicts the file. Raises MeasurementFileError.
    """
    for table in read_tables(path):
        groups = _groups(table, path)
        if not groups:
            continue
        group, found = _chosen(groups, stated_condition(table, path), condition, table, path)
        ids, names = table.column(*ID_FIELDS), table.column(*NAME_FIELDS)
        order = np.argsort(group.wavelengths, kind="stable")
        return SpectraSet(
            sample_ids=table.texts(ids) if ids is not None else tuple(str(row + 1) for row in range(len(table.rows))),
            sample_names=table.texts(names) if names is not None else ("",) * len(table.rows),
            wavelengths=group.wavelengths[order],
            reflectance=reflectance_factors([group])[0][:, order],
            condition=found,
            origin=path.name,
        )
    raise MeasurementFileError(
        path, 0, "no spectra", "spectral reflectance, fields such as SPECTRAL_NM380", "Export the readings again with spectra."
    )


def _groups(table: CgatsTable, path: Path) -> tuple[Spectra, ...]:
    fields = spectral_fields(table.fields)
    wavelengths = {field.wavelength for field in fields}
    steps = np.diff(sorted(wavelengths))
    if len(steps) < 3 or np.ptp(steps) <= 1e-6:
        return table_spectra(table, path)
    groups: dict[str | None, list[tuple[float, int, bool]]] = {}
    for field in fields:
        groups.setdefault(field.condition, []).append((field.wavelength, field.column, field.percent))
    return tuple(
        Spectra(
            path=path,
            lines=table.row_lines,
            columns=tuple(table.fields[column] for _, column, _ in entries),
            condition=MeasurementCondition(condition) if condition else None,
            wavelengths=np.array([wavelength for wavelength, _, _ in entries]),
            raw=numeric_columns(table, [column for _, column, _ in entries], path),
            named_percent=entries[0][2],
        )
        for condition, entries in groups.items()
    )


def _chosen(
    groups: tuple[Spectra, ...],
    stated: MeasurementCondition | None,
    wanted: MeasurementCondition | None,
    table: CgatsTable,
    path: Path,
) -> tuple[Spectra, MeasurementCondition | None]:
    """Return the group that is meant and its condition."""
    known = [(group, group.condition or stated) for group in groups]
    if wanted is None:
        if len(known) > 1:
            listed = ", ".join(str(condition or "not stated") for _, condition in known)
            raise InputError(f"spectra of {listed} in {path}", "one condition", "Say which with --measurement-condition.")
        return known[0]
    for group, condition in known:
        if condition == wanted or (condition is None and len(known) == 1):
            return group, wanted
    listed = ", ".join(str(condition or "not stated") for _, condition in known)
    raise MeasurementFileError(
        path, table.fields_line, f"readings of {listed}", str(wanted), "Leave --measurement-condition away."
    )


def conditions_of(path: Path) -> tuple[MeasurementCondition | None, ...]:
    """Return the measurement conditions of the spectra in a file, None for one that is not stated."""
    found: list[MeasurementCondition | None] = []
    for table in read_tables(path):
        stated = stated_condition(table, path)
        found += [group.condition or stated for group in _groups(table, path)]
    return tuple(dict.fromkeys(found))
