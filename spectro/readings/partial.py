"""Readings of some of a chart's patches, as one file holds them: which patches they are of, and nothing guessed."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.readings.content import tables_of_bytes
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.load import DEVICE_TOLERANCE
from spectro.readings.sections import chosen_sections, file_sections
from spectro.readings.spectra import reflectance_factors
from spectro.records.arrays import FloatArray
from spectro.records.conditions import Backing, MeasurementCondition

_FIX = "Export the readings with the names of the chart's patch table, or take them with `spectro readings add`."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartialReadings:
    """Some of a chart's readings."""

    rows: tuple[int, ...]  # of the chart
    reflectance: FloatArray  # (k, bands)
    wavelengths: FloatArray
    condition: MeasurementCondition | None
    backing: Backing | None
    created: str | None
    instrument: str


def partial_readings(
    data: bytes,
    path: Path | str,
    *,
    sample_ids: Sequence[str],
    sample_names: Sequence[str],
    colour_space: str,
    device: FloatArray,
    condition: MeasurementCondition | None,
) -> PartialReadings:
    """Return the readings of a file's bytes and the rows of the chart they belong to, told by name, else by id.

    sample_ids, sample_names, colour_space, device (n, channels): of the chart. condition: picks among several, stands in
    where none is stated. Device values the file has must be those of the chart.
    Raises MeasurementFileError for patches the chart does not have, for one that comes twice, and for what cannot be read.
    """
    sections, found = chosen_sections(file_sections(tables_of_bytes(data, path), path, 0), condition)
    reflectance = np.concatenate(reflectance_factors([section.spectra for section in sections]))
    by_name = {name: row for row, name in enumerate(sample_names)}
    by_id = {identity: row for row, identity in enumerate(sample_ids)}
    rows: list[int] = []
    for section in sections:
        patches = section.patches
        mine: list[int] = []
        for index, line in enumerate(patches.lines):
            name, identity = patches.names[index], (patches.ids or ())[index : index + 1]
            row = by_name.get(name) if name else None
            numbered = by_id.get(identity[0]) if identity else None
            if row is None and numbered is None:
                what = f"patch {name or (identity[0] if identity else 'without a name')}"
                raise MeasurementFileError(path, line, what, "a patch of the chart", _FIX)
            if name and row is None:
                raise MeasurementFileError(path, line, f"patch {name}", "a patch of the chart", _FIX)
            mine.append(int(row if row is not None else numbered or 0))
        if patches.colour_space:
            if patches.colour_space != colour_space:
                raise MeasurementFileError(path, patches.lines[0], patches.colour_space, f"{colour_space}, as the chart", _FIX)
            values = device_factors(patches, decided_scale([patches], [section.scale], None))
            wrong = np.flatnonzero((np.abs(values - device[mine]) > DEVICE_TOLERANCE).any(axis=1))
            if len(wrong):
                raise MeasurementFileError(
                    path, patches.lines[int(wrong[0])],
                    f"device values of {patches.place(int(wrong[0]))} that are not the chart's",
                    "those of the chart", "Name the chart these readings belong to.",
                )  # fmt: skip
        rows += mine
    if len(set(rows)) != len(rows):
        twice = next(row for row in rows if rows.count(row) > 1)
        raise MeasurementFileError(
            path, 0, f"patch {sample_names[twice] or sample_ids[twice]} twice", "each patch once in a file",
            "Export each reading of the chart into a file of its own.",
        )  # fmt: skip
    backings = {section.backing for section in sections if section.backing}
    dates = [section.created for section in sections if section.created]
    texts = dict.fromkeys(section.instrument for section in sections if section.instrument)
    return PartialReadings(
        rows=tuple(rows), reflectance=reflectance, wavelengths=sections[0].spectra.wavelengths, condition=found,
        backing=backings.pop() if len(backings) == 1 else None, created=max(dates) if dates else None,
        instrument="; ".join(texts),
    )  # fmt: skip
