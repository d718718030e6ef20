"""Tables of CGATS files to one set of readings: conditions, scales, join with the chart, places on the page.

What was found and decided is said in one sentence on the log.
"""

import logging
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.readings.chart_join import joined_rows
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.patches import Patches, label_positions, table_patches
from spectro.readings.sections import Section, chosen_sections, file_sections
from spectro.readings.spectra import reflectance_factors
from spectro.readings.statements import stated_scale
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet

_LOG = logging.getLogger("spectro")
DEVICE_TOLERANCE = 0.5 / 255 + 1e-9  # two lists of device values may differ by rounding to 8 bits
SAME_DEVICE = 1e-6  # device values nearer than this are those of one recipe


def measurement_set(
    table: CgatsTable,
    *,
    path: Path | str,
    condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    chart: CgatsTable | None = None,
    chart_path: Path | str = "chart",
) -> MeasurementSet:
    """Return the readings of one table. See measurements_of_files; path and chart_path are for messages."""
    joined = (chart_path, chart) if chart else None
    return measurements_of_files([(path, (table,))], condition=condition, device_scale=device_scale, chart=joined)


def measurements_of_files(
    files: Sequence[tuple[Path | str, Sequence[CgatsTable]]],
    *,
    condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    chart: tuple[Path | str, CgatsTable] | None = None,
) -> MeasurementSet:
    """Return the readings of all tables of files of one printing condition, concatenated in order.

    condition: picks among several, stands in where none is stated, is an error where it contradicts the file.
    device_scale: 1, 100 or 255 for full device value; None: told by the largest value, see device_scale.py.
    chart: where device values come from when the readings hold none; where they do, both must agree.
    Raises MeasurementFileError, with the line, for whatever cannot be read without a guess.
    """
    if not files or not all(tables for _, tables in files):
        raise InputError("no readings", "at least one file of readings", "Name it.")
    if device_scale not in (None, 1, 100, 255):
        raise InputError(f"the device scale {device_scale}", "1, 100 or 255", "Correct --device-scale.")
    every = [section for index, (path, tables) in enumerate(files) for section in file_sections(tables, path, index)]
    sections, one_condition = chosen_sections(every, condition)
    for section in sections[1:]:
        if not np.array_equal(section.spectra.wavelengths, sections[0].spectra.wavelengths):
            raise MeasurementFileError(
                section.patches.path,
                section.patches.lines[0],
                f"wavelengths {_range(section)} beside {_range(sections[0])}",
                "one range and step in all files",
                "Export them in the same way.",
            )
    reflectance = np.concatenate(reflectance_factors([section.spectra for section in sections]))
    colour_space, scale, device, chart_patches, chart_rows = _device(sections, device_scale, chart)
    _check_repeated_ids(sections, device)
    positions = _positions(sections, chart_patches, chart_rows)
    backings = {section.backing for section in sections}
    names = [str(Path(path).name) for path, _ in files]
    created = [section.created for section in sections if section.created]
    printed = [section.printed for section in sections if section.printed]
    _LOG.info(
        "%s: %d patches, %s 0 to %s, measurement condition %s, %s",
        ", ".join(names), len(device), colour_space, scale, one_condition or "not stated", _range(sections[0]),
    )  # fmt: skip
    return MeasurementSet(
        sample_ids=_ids(sections, device),
        sample_names=_names(sections, chart_patches, chart_rows),
        colour_space=colour_space,
        device=device,
        wavelengths=sections[0].spectra.wavelengths,
        reflectance=reflectance,
        condition=one_condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(created) if created else None,
        instrument=_all_of([section.instrument for section in sections]),
        description=_all_of([section.description for section in sections]),
        origin=", ".join(names),
        printed=max(printed) if printed else None,
        provenance=_all_of([section.provenance for section in sections]),
        positions=positions,
    )


def _all_of(texts: Sequence[str]) -> str:
    return "; ".join(dict.fromkeys(text for text in texts if text))


def _range(section: Section) -> str:
    nm = section.spectra.wavelengths
    return f"{nm[0]:g} to {nm[-1]:g} nm in steps of {nm[1] - nm[0]:g} nm"


def _device(
    sections: Sequence[Section], wanted: int | None, chart: tuple[Path | str, CgatsTable] | None
) -> tuple[str, int, FloatArray, Patches | None, IntArray | None]:
    """Return colour space, scale, device factors of all rows, and the chart with the row of each reading in it."""
    parts = [section.patches for section in sections]
    own = [section for section in sections if section.patches.colour_space]
    spaces = list(dict.fromkeys(str(section.patches.colour_space) for section in own))
    if len(spaces) > 1:
        raise MeasurementFileError(
            next(section.patches.path for section in own if section.patches.colour_space == spaces[1]), 0,
            f"{spaces[1]} beside {spaces[0]}", "one colour space in all files", "Read them by themselves.",
        )  # fmt: skip
    scale = decided_scale([s.patches for s in own], [s.scale for s in own], wanted) if own else 0
    if chart is None:
        if len(own) < len(sections):
            first = next(section for section in sections if not section.patches.colour_space)
            raise MeasurementFileError(
                first.patches.path, 0, "no device values", "fields such as RGB_R, RGB_G, RGB_B",
                "Give the chart's table with --chart, or say with --columns which columns hold them (RGB_R=red).",
            )  # fmt: skip
        return spaces[0], scale, np.concatenate([device_factors(part, scale) for part in parts]), None, None
    chart_path, table = chart
    patches = table_patches(table, chart_path)
    if patches.colour_space is None:
        raise MeasurementFileError(
            chart_path, table.fields_line, "no device values", "the table of a chart", "Give the chart's own table."
        )
    if spaces and spaces[0] != patches.colour_space:
        raise MeasurementFileError(
            chart_path, table.fields_line, f"{patches.colour_space} beside {spaces[0]} in {own[0].patches.path}",
            "one colour space", "Give the chart these readings belong to.",
        )  # fmt: skip
    chart_scale = decided_scale([patches], [stated_scale(table, chart_path)], None if own else wanted)
    rows = joined_rows(parts, patches)
    device = device_factors(patches, chart_scale)[rows]
    at = 0
    for part in parts:
        end = at + len(part.lines)
        if part.colour_space:
            mine = device_factors(part, scale)
            _check_equal(part, mine, device[at:end], patches)
            device[at:end] = mine
        at = end
    return patches.colour_space, scale or chart_scale, device, patches, rows


def _check_equal(part: Patches, mine: FloatArray, of_chart: FloatArray, chart: Patches) -> None:
    wrong = np.flatnonzero((np.abs(mine - of_chart) > DEVICE_TOLERANCE).any(axis=1))
    if len(wrong):
        row = int(wrong[0])
        raise MeasurementFileError(
            part.path,
            part.lines[row],
            f"device values of {part.place(row)} that differ from the chart's in {len(wrong)} rows",
            f"those of {chart.path}",
            "Give the chart these readings belong to, or leave --chart away.",
        )


def _check_repeated_ids(sections: Sequence[Section], device: FloatArray) -> None:
    """Refuse an id that stands twice in one file with different device values.

    With equal ones it is a repeat; with different names the names tell the patches apart.
    """
    seen: dict[tuple[int, str], tuple[int, str]] = {}
    start = 0
    for section in sections:
        patches = section.patches
        for index, identity in enumerate(patches.ids or ()):
            row, name = start + index, patches.names[index]
            first, first_name = seen.setdefault((section.file, identity), (row, name))
            if first == row or np.abs(device[first] - device[row]).max() <= SAME_DEVICE:
                continue
            if not name or not first_name or name == first_name:
                raise MeasurementFileError(
                    patches.path, patches.lines[index], f"SAMPLE_ID {identity} again with other device values",
                    "one recipe for each id", "Correct the id, or delete the row that is wrong.",
                )  # fmt: skip
            _LOG.warning("%s: SAMPLE_ID %s stands for %s and %s", patches.path, identity, first_name, name)
        start += len(patches.lines)


def _ids(sections: Sequence[Section], device: FloatArray) -> tuple[str, ...]:
    """Return the ids; numbers from 1 where there are none; with the file's number before where files disagree."""
    ids: list[str] = []
    files: list[int] = []
    for section in sections:
        count = len(section.patches.lines)
        ids += section.patches.ids or [str(len(ids) + number + 1) for number in range(count)]
        files += [section.file] * count
    first: dict[str, int] = {}
    for row, identity in enumerate(ids):
        other = first.setdefault(identity, row)
        if files[other] != files[row] and np.abs(device[other] - device[row]).max() > SAME_DEVICE:
            _LOG.warning("ids mean different patches in the files; they are told apart as FILE:ID, FILE counted from 1")
            return tuple(f"{file + 1}:{identity}" for file, identity in zip(files, ids, strict=True))
    return tuple(ids)


def _names(sections: Sequence[Section], chart: Patches | None, rows: IntArray | None) -> tuple[str, ...]:
    names = tuple(name for section in sections for name in section.patches.names)
    if chart is not None and rows is not None and not any(names):
        return tuple(chart.names[row] for row in rows.tolist())
    return names


def _positions(sections: Sequence[Section], chart: Patches | None, rows: IntArray | None) -> IntArray:
    """Return page, row, column: from fields of the chart or of all readings, else from labels, else (0, 3)."""
    if chart is not None and rows is not None and len(chart.positions):
        return chart.positions[rows]
    if all(len(section.patches.positions) for section in sections):
        return np.concatenate([section.patches.positions for section in sections])
    places = label_positions([name for section in sections for name in section.patches.names])
    if len(places):
        return places
    if chart is not None and rows is not None:
        places = label_positions(chart.names)
        if len(places):
            return places[rows]
    return label_positions([identity for section in sections for identity in section.patches.ids or ("",)])
