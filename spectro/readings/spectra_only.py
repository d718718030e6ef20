"""Spectra of a file of any kind as they are: with or without device values, evenly spaced or not. For tables of colours.

Profiles need more (`load_readings`). References: [ISO-28178]; [ISO-13655-2017].
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.cgats_table import CgatsTable
from spectro.files.field_names import spectral_fields
from spectro.files.numeric_cells import numeric_columns
from spectro.readings.content import read_tables
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.patches import ID_FIELDS, NAME_FIELDS, table_patches
from spectro.readings.spectra import Spectra, reflectance_factors, table_spectra
from spectro.readings.statements import stated_condition, stated_scale
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.spectra_set import SpectraSet


def load_spectra(
    path: Path, condition: MeasurementCondition | None = None, columns: Mapping[str, str] | None = None
) -> SpectraSet:
    """Read the spectra of a file; of several tables, those of the first that is meant.

    condition: picks among several, stands in where none is stated, is an error where it contradicts the file.
    columns: field name to the name the file uses instead.
    Device values come along where they can be read without asking. Raises MeasurementFileError, and InputError where
    several conditions would do.
    """
    known = [
        (table, group, group.condition or stated_condition(table, path))
        for table in read_tables(path, columns)
        for group in _groups(table, path)
    ]
    if not known:
        raise MeasurementFileError(
            path,
            0,
            "no spectra",
            "spectral reflectance, fields such as SPECTRAL_NM380",
            "Export the readings again with spectra.",
        )
    table, group, found = _chosen(known, condition, path)
    ids, names = table.column(*ID_FIELDS), table.column(*NAME_FIELDS)
    order = np.argsort(group.wavelengths, kind="stable")
    channels, device = _device(table, path)
    return SpectraSet(
        sample_ids=table.texts(ids) if ids is not None else tuple(str(row + 1) for row in range(len(table.rows))),
        sample_names=table.texts(names) if names is not None else ("",) * len(table.rows),
        wavelengths=group.wavelengths[order],
        reflectance=reflectance_factors([group])[0][:, order],
        condition=found,
        origin=path.name,
        colour_space=channels,
        device=device,
    )


def _device(table: CgatsTable, path: Path) -> tuple[str, FloatArray | None]:
    """Return the colour space and device values (n, channels), 0 to 1; "" and None where there are none to be sure of."""
    try:
        patches = table_patches(table, path)
        if patches.colour_space is None:
            return "", None
        return patches.colour_space, device_factors(patches, decided_scale([patches], [stated_scale(table, path)], None))
    except SpectroError:
        return "", None


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
    known: Sequence[tuple[CgatsTable, Spectra, MeasurementCondition | None]], wanted: MeasurementCondition | None, path: Path
) -> tuple[CgatsTable, Spectra, MeasurementCondition | None]:
    """Return the table and group that are meant and their condition."""
    conditions = {condition for _, _, condition in known}
    listed = ", ".join(dict.fromkeys(str(condition or "not stated") for _, _, condition in known))
    if wanted is None:
        if len(conditions) > 1:
            raise InputError(f"spectra of {listed} in {path}", "one condition", "Say which with --measurement-condition.")
        return known[0]
    for table, group, condition in known:
        if condition == wanted or (condition is None and len(conditions) == 1):
            return table, group, wanted
    raise MeasurementFileError(
        path, known[0][0].fields_line, f"readings of {listed}", str(wanted), "Leave --measurement-condition away."
    )


def conditions_of(path: Path) -> tuple[MeasurementCondition | None, ...]:
    """Return the measurement conditions of the spectra in a file, None for one that is not stated."""
    found: list[MeasurementCondition | None] = []
    for table in read_tables(path):
        stated = stated_condition(table, path)
        found += [group.condition or stated for group in _groups(table, path)]
    return tuple(dict.fromkeys(found))
