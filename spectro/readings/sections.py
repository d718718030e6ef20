"""Sections of readings files: the rows of one table that were measured under one condition, and which of them are meant.

The measurement condition has no default. It is what the file states: in its header, in the names of the spectral fields,
or in a field of its own. A wanted condition picks among several, or stands in where none is stated.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from spectro.errors import MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.readings.patches import Patches, table_patches
from spectro.readings.spectra import Spectra, table_spectra
from spectro.readings.statements import (
    description_text,
    instrument_text,
    printed_date,
    provenance_text,
    stated_backing,
    stated_condition,
    stated_date,
    stated_scale,
)
from spectro.records.conditions import Backing, MeasurementCondition

_CONDITION_FIELDS = ("MEASUREMENT_CONDITION", "M_CONDITION")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """Readings of one table under one condition."""

    file: int  # index of the file in the order given
    patches: Patches
    spectra: Spectra
    condition: MeasurementCondition | None  # None: not stated
    backing: Backing | None
    created: str | None
    instrument: str
    description: str
    scale: int | None  # device scale the file states
    printed: str | None
    provenance: str


def file_sections(tables: Sequence[CgatsTable], path: Path | str, file: int) -> list[Section]:
    """Return the sections of one file in file order. Raises MeasurementFileError for a table without spectra."""
    sections = []
    for table in tables:
        for part, row_condition in _by_condition_field(table, path):
            spectra = table_spectra(part, path)
            if not spectra:
                raise MeasurementFileError(
                    path,
                    table.fields_line,
                    f"no spectra (fields {', '.join(table.fields[:12])})",
                    "spectral reflectance, fields such as SPECTRAL_NM380",
                    "Export the readings again with spectra; Lab or XYZ alone does not do.",
                )
            patches = table_patches(part, path)
            for group in spectra:
                sections.append(
                    Section(
                        file=file,
                        patches=patches,
                        spectra=group,
                        condition=_condition(part, group, row_condition, path),
                        backing=stated_backing(part, path),
                        created=stated_date(part),
                        instrument=instrument_text(part),
                        description=description_text(part),
                        scale=stated_scale(part, path),
                        printed=printed_date(part),
                        provenance=provenance_text(part),
                    )
                )
    return sections


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
                f"measurement condition {condition or 'not stated'} beside "
                f"{conditions[0] or 'not stated'} in {chosen[0].patches.path}",
                "readings of one measurement condition",
                "Read the files of each condition by themselves; "
                "where one is not stated and you know it, give --measurement-condition.",
            )
    backings = [section for section in chosen if section.backing]
    for section in backings:
        if section.backing != backings[0].backing:
            raise MeasurementFileError(
                section.patches.path,
                section.patches.lines[0],
                f"{section.backing} backing beside {backings[0].backing} backing in {backings[0].patches.path}",
                "readings on one backing",
                "Read the files of each backing by themselves.",
            )
    return chosen, conditions[0]


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
            "Choose one with --measurement-condition.",
        )
    if str(wanted) not in stated:
        raise MeasurementFileError(
            first.path,
            0,
            f"readings of {', '.join(stated)}",
            f"{wanted}, as --measurement-condition says",
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
