"""Sections of readings files: the rows of one table that were measured under one condition, and which of them are meant.

The measurement condition has no default. It is what the file states: in its header, in the names of the spectral fields,
or in a field of its own. A wanted condition picks among several, or stands in where none is stated.
"""

import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from spectro.colour.lab import xyz_to_lab
from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.readings.file_lab import file_lab
from spectro.readings.patches import ID_FIELDS, NAME_FIELDS, Patches, table_patches
from spectro.readings.spectra import Spectra, holds_spectra, table_spectra
from spectro.readings.statements import (
    chart_id_text,
    description_text,
    instrument_text,
    printed_date,
    provenance_text,
    stated_backing,
    stated_condition,
    stated_date,
    stated_scale,
)
from spectro.records.arrays import FloatArray
from spectro.records.conditions import Backing, MeasurementCondition

_LOG = logging.getLogger("spectro")
_XYZ_FACTORS = 2.0  # a largest XYZ below is on the scale where the perfect diffuser is 1, common practice, no source
_CONDITION_FIELDS = ("MEASUREMENT_CONDITION", "M_CONDITION")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """Readings of one table under one condition."""

    file: int  # index of the file in the order given
    patches: Patches
    spectra: Spectra  # without bands where the table holds Lab alone
    lab: FloatArray  # (n, 3), D50, 2°, where the table holds Lab alone, else (0, 3)
    condition: MeasurementCondition | None  # None: not stated
    backing: Backing | None
    created: str | None
    instrument: str
    description: str
    scale: int | None  # device scale the file states
    printed: str | None
    provenance: str
    chart_id: str = ""  # the chart's identity, as its page codes hold it; "": not stated
    named_in_rows: bool = False  # a field says each row's condition


def file_sections(tables: Sequence[CgatsTable], path: Path | str, file: int, *, even: bool = True) -> list[Section]:
    """Return the sections of one file in file order.

    A table without spectra is passed over where it lists patches that have spectra in another one; it is the same readings
    in another form. Raises MeasurementFileError for any other table without spectra. even: as for `table_spectra`.
    """
    with_spectra = [table for table in tables if holds_spectra(table)]
    for table in tables:
        if not holds_spectra(table):
            _pass_over(table, with_spectra, path)
    found = []
    for table in with_spectra:
        own = [
            _section(part, path, file, patches, group, row_condition)
            for part, row_condition in _by_condition_field(table, path)
            for patches in (table_patches(part, path),)
            for group in table_spectra(part, path, even=even)
        ]
        _check_header_condition(table, own, path)
        found += own
    return found


def _check_header_condition(table: CgatsTable, sections: Sequence[Section], path: Path | str) -> None:
    """Refuse a header that states another measurement condition than all fields or rows below it."""
    stated = stated_condition(table, path, free_text=False)
    named = {section.condition for section in sections if section.spectra.condition or section.named_in_rows}
    if stated and named and stated not in named:
        words = " and ".join(sorted(map(str, named)))
        raise MeasurementFileError(
            path, table.fields_line, f"{stated} in the header and {words} in its fields or rows",
            "one measurement condition", "Correct the one that is wrong.",
        )  # fmt: skip


def lab_sections(tables: Sequence[CgatsTable], path: Path | str, file: int) -> list[Section]:
    """Return the sections of one file without spectra: its Lab or XYZ for D50 and 2°, in file order.

    Raises MeasurementFileError where no table has any, and where they are for another light or observer.
    """
    found = []
    for table in tables:
        for part, row_condition in _by_condition_field(table, path):
            lab = _d50_lab(part, path)
            if not len(lab):
                continue
            no_bands = Spectra(
                path=path, lines=part.row_lines, columns=(), condition=None, wavelengths=np.zeros(0),
                raw=np.zeros((len(lab), 0)), named_percent=False,
            )  # fmt: skip
            section = _section(part, path, file, table_patches(part, path), no_bands, row_condition)
            found.append(replace(section, lab=lab))
    if not found:
        raise MeasurementFileError(
            path,
            tables[0].fields_line,
            "no spectra and no Lab",
            "spectra, or Lab under D50 and 2°",
            "Export the readings again.",
        )
    return found


def _section(
    part: CgatsTable,
    path: Path | str,
    file: int,
    patches: Patches,
    spectra: Spectra,
    row_condition: MeasurementCondition | None,
) -> Section:
    return Section(
        file=file,
        patches=patches,
        spectra=spectra,
        lab=np.zeros((0, 3)),
        condition=_condition(part, spectra, row_condition, path),
        backing=stated_backing(part, path),
        created=stated_date(part),
        instrument=instrument_text(part),
        description=description_text(part),
        scale=stated_scale(part, path),
        printed=printed_date(part),
        provenance=provenance_text(part),
        chart_id=chart_id_text(part),
        named_in_rows=row_condition is not None,
    )


def _pass_over(table: CgatsTable, with_spectra: Sequence[CgatsTable], path: Path | str) -> None:
    """Log that a table without spectra is passed over. Raises MeasurementFileError where its patches would be lost."""
    table_spectra(table, path)  # raises for a misspelt field: such a table has spectra
    for fields in (ID_FIELDS, NAME_FIELDS):
        mine, *others = (_cells(one, fields) for one in (table, *with_spectra))
        if mine and mine <= set().union(*others):
            _LOG.warning("%s:%d: a table without spectra is passed over", path, table.fields_line)
            return
    raise MeasurementFileError(
        path,
        table.fields_line,
        f"no spectra (fields {', '.join(table.fields[:12])})",
        "spectral reflectance, fields such as SPECTRAL_NM380",
        "Export the readings again with spectra; Lab or XYZ alone does not do.",
    )


def _cells(table: CgatsTable, fields: Sequence[str]) -> set[str]:
    column = table.column(*fields)
    return set() if column is None else set(table.texts(column))


def _d50_lab(table: CgatsTable, path: Path | str) -> FloatArray:
    """Return the Lab of a table (n, 3), or (0, 3). XYZ stand in, as percentages or as factors of the perfect diffuser."""
    stated = file_lab(table, path)
    if not len(stated.lab) and not len(stated.xyz):
        return stated.lab
    light, observer = stated.illuminant or "D50", stated.observer or 2
    if (light, observer) != ("D50", 2):
        raise MeasurementFileError(
            path, 0, f"colours for {light}, {observer}°", "D50 and 2°", "Give the spectra, or Lab for D50 and 2°."
        )
    return stated.lab if len(stated.lab) else xyz_to_lab(stated.xyz * (100 if stated.xyz.max() < _XYZ_FACTORS else 1))


def chosen_sections(
    sections: Sequence[Section], wanted: MeasurementCondition | None
) -> tuple[list[Section], MeasurementCondition | None]:
    """Return the sections that are meant and their one measurement condition (None: not stated).

    Raises MeasurementFileError where a file states several and none is wanted, where it states another than the wanted
    one, and where files differ in condition or backing.
    """
    chosen: list[Section] = []
    for file in dict.fromkeys(section.file for section in sections):
        chosen += _chosen_in_file([section for section in sections if section.file == file], wanted)
    conditions = [wanted or section.condition for section in chosen]
    for section, condition in zip(chosen, conditions, strict=True):
        if condition != conditions[0]:
            raise MeasurementFileError(
                section.patches.path,
                section.patches.lines[0],
                f"measurement condition {condition or 'not stated'}, but "
                f"{conditions[0] or 'not stated'} in {chosen[0].patches.path}",
                "readings of one measurement condition",
                "Read the files of each condition by themselves; "
                "where one is not stated and you know it, give `measurement_condition`.",
            )
    backings = [section for section in chosen if section.backing]
    for section in backings:
        if section.backing != backings[0].backing:
            raise MeasurementFileError(
                section.patches.path,
                section.patches.lines[0],
                f"{section.backing} backing, but {backings[0].backing} backing in {backings[0].patches.path}",
                "readings on one backing",
                "Read the files of each backing by themselves.",
            )
    return chosen, conditions[0]


def say_tables(sections: Sequence[Section]) -> None:
    """Log which of a file's tables are read together, where they are several: as many rows as a person expects, or not."""
    for file in dict.fromkeys(section.file for section in sections):
        mine = [section.patches for section in sections if section.file == file]
        if len(mine) > 1:
            tables = ", ".join(f"{len(one.lines)} rows from line {one.lines[0]}" for one in mine)
            _LOG.warning("%s: %d tables are read together: %s", mine[0].path, len(mine), tables)


def _chosen_in_file(sections: Sequence[Section], wanted: MeasurementCondition | None) -> list[Section]:
    stated = sorted({str(section.condition) for section in sections if section.condition})
    silent = [section for section in sections if section.condition is None]
    first = sections[0].patches
    if not stated or (wanted is None and len(stated) == 1 and not silent):
        return list(sections)
    if wanted is None:
        raise MeasurementFileError(
            first.path,
            0,
            f"readings of {', '.join(stated)}{' and some that state none' if silent else ''}",
            "one measurement condition",
            "Choose one with `measurement_condition`.",
        )
    if str(wanted) not in stated:
        raise MeasurementFileError(
            first.path,
            0,
            f"readings of {', '.join(stated)}",
            f"{wanted}, as `measurement_condition` says",
            "Leave the option away or name a condition the file holds.",
        )
    return [section for section in sections if section.condition == wanted]


def _by_condition_field(table: CgatsTable, path: Path | str) -> list[tuple[CgatsTable, MeasurementCondition | None]]:
    """Split a table by the values of a field that says each row's measurement condition."""
    column = table.column(*_CONDITION_FIELDS)
    if column is None:
        return [(table, None)]
    rows: dict[MeasurementCondition, list[int]] = {}
    for index, cell in enumerate(table.texts(column)):
        word = cell.strip().upper()
        if word not in tuple(MeasurementCondition):
            raise MeasurementFileError(
                path,
                table.row_lines[index],
                f"{cell!r} as {table.fields[column]}",
                "M0, M1, M2 or M3",
                "Correct the cell or delete the column.",
            )
        rows.setdefault(MeasurementCondition(word), []).append(index)
    return [
        (
            replace(
                table,
                rows=tuple(table.rows[index] for index in indices),
                row_lines=tuple(table.row_lines[index] for index in indices),
            ),
            condition,
        )
        for condition, indices in rows.items()
    ]


def _condition(
    table: CgatsTable, spectra: Spectra, row_condition: MeasurementCondition | None, path: Path | str
) -> MeasurementCondition | None:
    """Return what rows and field names say, else the header; the three must not differ within one group."""
    close = spectra.condition or row_condition
    if spectra.condition and row_condition and spectra.condition != row_condition:
        raise MeasurementFileError(
            path,
            spectra.lines[0],
            f"{row_condition} in the row and {spectra.condition} in {spectra.columns[0]}",
            "one measurement condition",
            "Correct the one that is wrong.",
        )
    return close or stated_condition(table, path)
