"""Files of readings, read: the one way for every command. What a command requires beyond it, it checks itself.

Every table of every file counts: conditions are chosen, scales decided, and device values joined with the chart, over all
of them together. What was found and decided is said in one sentence on the log.
"""

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeAlias

import numpy as np

from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, ReflectanceScaleError
from spectro.files.cgats_table import CgatsTable
from spectro.files.field_names import device_field
from spectro.readings.chart_join import joined_rows
from spectro.readings.content import read_tables
from spectro.readings.copies import are_copies
from spectro.readings.device_scale import decided_scale, device_factors, prints_dark
from spectro.readings.labels import label_positions
from spectro.readings.patches import Patches, table_patches
from spectro.readings.questionable import with_doubts
from spectro.readings.repeats import recipe_names
from spectro.readings.sections import Section, chosen_sections, file_sections, lab_sections, say_tables
from spectro.readings.sheet_files import NO_SHEETS, sheets_of_files
from spectro.readings.spectra import holds_spectra, reflectance_factors
from spectro.readings.statements import chart_id_text, stated_scale
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_origin import CHART_TABLE
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.records.shown_text import shown_name

_LOG = logging.getLogger("spectro")
AS_STATED = ReadingOptions()
"""The patch table of a chart folder."""
MOST_READINGS = 30_000
"""Five sheets of the largest chart that is made: what judges readings takes minutes above, and no print has as many. Ours."""
DEVICE_TOLERANCE = 0.5 / 255 + 1e-9  # two lists of device values may differ by rounding to 8 bits

Tables: TypeAlias = tuple[Path | str, Sequence[CgatsTable]]
"""A file, for messages, and its tables."""
Chart: TypeAlias = tuple[Path | str, CgatsTable]
"""The file of a chart, for messages, and its table."""


def load_readings(paths: Sequence[Path], options: ReadingOptions = AS_STATED) -> MeasurementSet:
    """Read one or more files of one printing condition: spectra, evenly spaced, with device values, file after file.

    Files are CGATS text, CxF3, CSV, .xlsx or ICC profiles with characterization data; what stands in a file tells which.
    Patches that a file marks as questionable are left out unless options ask.
    Raises MeasurementFileError with file, line, what was found, what was expected and how to mend it.
    """
    files = _tables([*paths, *options.another_sheet], options)
    said = tuple(range(len(paths), len(files)))
    found = measurements_of_files(files, options, chart=_chart(options), said=said)
    return with_doubts(found, [table for _, each in files for table in each], asked=options.with_questionable)


def load_spectra(paths: Sequence[Path], options: ReadingOptions = AS_STATED) -> Readings:
    """Read files for their spectra alone, evenly spaced or not. For tables of colours and for blank sheets.

    Device values come along where they can be read without asking; where not, a caution says why.
    Raises MeasurementFileError.
    """
    files, chart = _tables(paths, options), _chart(options)
    try:
        return _readings(_spectral(files, even=False), files, options, chart, needed=False)
    except ReflectanceScaleError:
        raise  # leaving the device values away would take what they tell, too
    except MeasurementFileError as error:
        if not any(device_field(name) for _, tables in files for table in tables for name in table.fields):
            raise
        if options.device_scale is None:
            _check_darkness(files, options, chart)
        bare = [(path, [_without_device(table) for table in tables]) for path, tables in files]
        found = _readings(_spectral(bare, even=False), bare, options, None, needed=False)
        _LOG.warning("device values are left out: %s", error)
        return replace(found, cautions=(*found.cautions, f"Device values are left out: {error}"))


def _check_darkness(files: Sequence[Tables], options: ReadingOptions, chart: Chart | None) -> None:
    """Raise ReflectanceScaleError where device values, taken as 0 to 255, say that all patches print dark and none reads so.

    For files whose device values cannot be decided: dark patches alone do not tell their scale, and do not tell percentages.
    """
    try:
        _readings(_spectral(files, even=False), files, replace(options, device_scale=255), chart, needed=False)
    except ReflectanceScaleError:
        raise
    except MeasurementFileError:
        return


def load_any_readings(paths: Sequence[Path], options: ReadingOptions = AS_STATED) -> Readings:
    """Read files for their colours: spectra, evenly spaced or not, else Lab for D50 and 2°; with device values or without.

    Raises MeasurementFileError, also where some files hold spectra and others Lab alone, and for device values that
    cannot be read without asking.
    """
    files, chart = _tables(paths, options), _chart(options)
    if any(holds_spectra(table) for _, tables in files for table in tables):
        return _readings(_spectral(files, even=False), files, options, chart, needed=False)
    sections = [section for index, (path, tables) in enumerate(files) for section in lab_sections(tables, path, index)]
    return _readings(sections, files, options, chart, needed=False)


def load_colours(paths: Sequence[Path], options: ReadingOptions = AS_STATED) -> Readings:
    """Read files for comparing colours: as `load_spectra` where any holds spectra, else Lab or XYZ for D50 and 2°."""
    tables = [table for _, tables in _tables(paths, options) for table in tables]
    return load_spectra(paths, options) if any(map(holds_spectra, tables)) else load_any_readings(paths, options)


def readings_lab(readings: Readings | MeasurementSet) -> FloatArray:
    """Return Lab (n, 3), absolute, D50, 2°: computed from spectra where there are some, else as stated."""
    if isinstance(readings, Readings) and not readings.has_spectra:
        return readings.stated_lab
    return spectra_to_lab(readings.reflectance, readings.wavelengths)


def conditions_of(
    paths: Sequence[Path], options: ReadingOptions = AS_STATED
) -> dict[MeasurementCondition | None, tuple[Path, ...]]:
    """Return the measurement conditions of the spectra in files, None for one that is not stated, and the files of each."""
    found: dict[MeasurementCondition | None, list[Path]] = {}
    for path, tables in _tables(paths, options):
        for section in file_sections(tables, path, 0, even=False):
            known = found.setdefault(section.condition, [])
            if path not in known:
                known.append(Path(path))
    return {condition: tuple(files) for condition, files in found.items()}


def measurement_set(table: CgatsTable, *, path: Path | str) -> MeasurementSet:
    """Return the readings of one table. See measurements_of_files; path is for messages."""
    return measurements_of_files([(path, (table,))])


def measurements_of_files(
    files: Sequence[Tables], options: ReadingOptions = AS_STATED, *, chart: Chart | None = None, said: Sequence[int] = ()
) -> MeasurementSet:
    """Return the readings of all tables of files of one printing condition, concatenated in order.

    chart: where device values come from when the readings hold none; where they do, both must agree. said: files, from 0, that
    are further sheets.
    Raises MeasurementFileError, with the line, for whatever cannot be read without a guess.
    """
    found = _readings(_spectral(files, even=True), files, options, chart, needed=True, said=said)
    check_count(len(found), found.origin)
    return MeasurementSet(
        sample_ids=found.sample_ids,
        sample_names=found.sample_names,
        colour_space=found.colour_space,
        device=found.device,
        wavelengths=found.wavelengths,
        reflectance=found.reflectance,
        condition=found.condition,
        backing=found.backing,
        created=found.created,
        instrument=found.instrument,
        description=found.description,
        origin=found.origin,
        printed=found.printed,
        provenance=found.provenance,
        positions=found.positions,
        sheets=found.sheets,
        parts=found.parts,
    )


def check_count(count: int, origin: str) -> None:
    """Refuse more readings than prints of one chart can have. Raises InputError."""
    if count > MOST_READINGS:
        first, *more = origin.split(", ")
        files = f"{first} and {len(more)} more files" if len(more) > 1 else origin
        raise InputError(
            f"{count} readings in {files}", f"at most {MOST_READINGS}, several sheets of the largest chart",
            "Read one printing condition at a time; spectro colours takes any number.",
        )  # fmt: skip


def _tables(paths: Sequence[Path], options: ReadingOptions) -> list[Tables]:
    if not paths:
        raise InputError("no file of readings", "at least one", "Name it.")
    check_each_once(paths, "each file of readings once")
    return [(path, read_tables(path, options.columns)) for path in paths]


def check_each_once(paths: Iterable[Path], expected: str) -> None:
    """Raise InputError where a file is named twice. expected: what was expected instead, in words."""
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            raise InputError(f"the file {path} twice", expected, "Name it once.")
        seen.add(path.resolve())


def chart_table(path: Path) -> Chart:
    """Return the table of a chart, path and all for messages. path: the table itself, or the chart folder that holds it.

    Raises MeasurementFileError for a folder without one, and for several tables in one file.
    """
    file = path
    if path.is_dir():
        file = path / CHART_TABLE
        if not file.is_file():
            raise MeasurementFileError(
                path, 0, f"a folder without {CHART_TABLE}", "a chart folder or a chart's table", "Name the table itself."
            )
    tables = read_tables(file)
    if len(tables) > 1:
        raise MeasurementFileError(
            file, tables[1].fields_line, f"{len(tables)} tables", "one table", "Put each table into a file of its own."
        )
    return path, tables[0]


def _chart(options: ReadingOptions) -> Chart | None:
    return None if options.chart is None else chart_table(options.chart)


def _spectral(files: Sequence[Tables], *, even: bool) -> list[Section]:
    return [section for index, (path, tables) in enumerate(files) for section in file_sections(tables, path, index, even=even)]


def _readings(
    every: Sequence[Section],
    files: Sequence[Tables],
    options: ReadingOptions,
    chart: Chart | None,
    *,
    needed: bool,
    said: Sequence[int] = (),
) -> Readings:
    """Return the readings of the sections that are meant. needed: device values are. said: files that are further sheets."""
    if not every:
        raise InputError("no readings", "at least one file of readings", "Name it.")
    sections, condition = chosen_sections(every, options.condition)
    say_tables(sections)
    for section in sections[1:]:
        if not np.array_equal(section.spectra.wavelengths, sections[0].spectra.wavelengths):
            raise MeasurementFileError(
                section.patches.path,
                section.patches.lines[0],
                f"wavelengths {_range(section)}, but {_range(sections[0])} in the first",
                "one range and step in all files",
                "Export them in the same way.",
            )
    spectra = [section.spectra for section in sections]
    bands = len(spectra[0].wavelengths)
    device = _device(sections, options.device_scale, chart, needed=needed)
    ends = np.cumsum([len(part.raw) for part in spectra])[:-1]
    dark = np.split(prints_dark(device.values, device.colour_space), ends)
    reflectance = np.concatenate(reflectance_factors(spectra, dark) if bands else [part.raw for part in spectra])
    if needed:
        _check_copies(sections, np.split(reflectance, ends))
    _check_repeated_ids(sections, device.values)
    chart_id = chart_id_text(chart[1]) if chart else ""
    named = [replace(section, chart_id=section.chart_id or chart_id) for section in sections]
    sheets, parts = sheets_of_files(named, device.values, reflectance, said) if needed else (NO_SHEETS, ())
    backings = {section.backing for section in sections}
    names = [shown_name(path) for path, _ in files]
    created = [section.created for section in sections if section.created]
    printed = [section.printed for section in sections if section.printed]
    _LOG.info(
        "%s: %d patches, %s 0 to %s, measurement condition %s, %s",
        ", ".join(names), len(reflectance), device.colour_space or "device values not known,", device.scale,
        condition or "not stated", _range(sections[0]),
    )  # fmt: skip
    return Readings(
        sample_ids=_ids(sections, device.values),
        sample_names=_names(sections, device.chart, device.rows),
        colour_space=device.colour_space,
        device=device.values,
        wavelengths=spectra[0].wavelengths,
        reflectance=reflectance,
        stated_lab=np.concatenate([section.lab for section in sections]),
        condition=condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(created) if created else None,
        instrument=_all_of([section.instrument for section in sections]),
        description=_all_of([section.description for section in sections]),
        origin=", ".join(names),
        printed=max(printed) if printed else None,
        provenance=_all_of([section.provenance for section in sections]),
        positions=_positions(sections, device.chart, device.rows),
        sheets=sheets,
        parts=parts,
        ids_stated=all(section.patches.ids is not None for section in sections),
    )


def _check_copies(sections: Sequence[Section], spectra: Sequence[FloatArray]) -> None:
    """Raise InputError where files hold the same readings: a copy would count as readings that agree to the last digit."""
    for number, (section, values) in enumerate(zip(sections, spectra, strict=True)):
        for other, held in zip(sections[:number], spectra, strict=False):
            if other.file != section.file and are_copies(values, held):
                raise InputError(
                    f"{section.patches.path}, which holds the same readings as {other.patches.path}",
                    "each reading once", "Leave one of them away: a copy is no second reading.",
                )  # fmt: skip


def _without_device(table: CgatsTable) -> CgatsTable:
    kept = [column for column, name in enumerate(table.fields) if not device_field(name)]
    return replace(
        table,
        fields=tuple(table.fields[column] for column in kept),
        rows=tuple(tuple(row[column] for column in kept) for row in table.rows),
    )


def _all_of(texts: Sequence[str]) -> str:
    return "; ".join(dict.fromkeys(text for text in texts if text))


def _range(section: Section) -> str:
    nm = section.spectra.wavelengths
    if not len(nm):
        return "Lab alone"
    if np.ptp(np.diff(nm)) > 1e-6:
        return f"{nm[0]:g} to {nm[-1]:g} nm in uneven steps"
    return f"{nm[0]:g} to {nm[-1]:g} nm in steps of {nm[1] - nm[0]:g} nm"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Device:
    """Device values of all rows, and the chart they were joined with."""

    colour_space: str  # "": none are known
    scale: int
    values: FloatArray  # (n, channels), 0 to 1, or (n, 0)
    chart: Patches | None
    rows: IntArray | None  # (n,) the row of each reading in the chart


def _device(sections: Sequence[Section], wanted: int | None, chart: Chart | None, *, needed: bool) -> _Device:
    """Return the device values of sections, their own or the chart's. needed: none at all are an error."""
    parts = [section.patches for section in sections]
    own = [section for section in sections if section.patches.colour_space]
    spaces = list(dict.fromkeys(str(section.patches.colour_space) for section in own))
    if len(spaces) > 1:
        raise MeasurementFileError(
            next(section.patches.path for section in own if section.patches.colour_space == spaces[1]), 0,
            f"{spaces[1]} and {spaces[0]}", "one colour space in all files", "Read them by themselves.",
        )  # fmt: skip
    scale = decided_scale([s.patches for s in own], [s.scale for s in own], wanted) if own else 0
    if chart is None:
        if not own and not needed:
            count = sum(len(part.lines) for part in parts)
            return _Device(colour_space="", scale=0, values=np.zeros((count, 0)), chart=None, rows=None)
        if len(own) < len(sections):
            first = next(section for section in sections if not section.patches.colour_space)
            raise MeasurementFileError(
                first.patches.path, 0, "no device values", "fields such as RGB_R, RGB_G, RGB_B",
                "Give the chart's table with `chart`, or say with `columns` which columns hold them (RGB_R=red).",
            )  # fmt: skip
        values = np.concatenate([device_factors(part, scale) for part in parts])
        return _Device(colour_space=spaces[0], scale=scale, values=values, chart=None, rows=None)
    chart_path, table = chart
    patches = table_patches(table, chart_path)
    if patches.colour_space is None:
        raise MeasurementFileError(
            chart_path, table.fields_line, "no device values", "the table of a chart", "Give the chart's own table."
        )
    if spaces and spaces[0] != patches.colour_space:
        raise MeasurementFileError(
            chart_path, table.fields_line, f"{patches.colour_space}, but {spaces[0]} in {own[0].patches.path}",
            "one colour space", "Give the chart these readings belong to.",
        )  # fmt: skip
    chart_scale = decided_scale([patches], [stated_scale(table, chart_path)], None if own else wanted)
    rows = joined_rows(parts, patches)
    values = device_factors(patches, chart_scale)[rows]
    at = 0
    for part in parts:
        end = at + len(part.lines)
        if part.colour_space:
            mine = device_factors(part, scale)
            _check_equal(part, mine, values[at:end], patches)
            values[at:end] = mine
        at = end
    return _Device(colour_space=patches.colour_space, scale=scale or chart_scale, values=values, chart=patches, rows=rows)


def _check_equal(part: Patches, mine: FloatArray, of_chart: FloatArray, chart: Patches) -> None:
    wrong = np.flatnonzero((np.abs(mine - of_chart) > DEVICE_TOLERANCE).any(axis=1))
    if len(wrong):
        row = int(wrong[0])
        raise MeasurementFileError(
            part.path,
            part.lines[row],
            f"device values of {part.place(row)} that differ from the chart's in {len(wrong)} rows",
            f"those of {chart.path}",
            "Give the chart these readings belong to, or leave `chart` away.",
        )


def _check_repeated_ids(sections: Sequence[Section], device: FloatArray) -> None:
    """Refuse an id that stands twice in one file with different device values.

    With equal ones it is a repeat; with different names the names tell the patches apart.
    """
    recipes = recipe_names(device)
    seen: dict[tuple[int, str], tuple[int, str]] = {}
    start = 0
    for section in sections:
        patches = section.patches
        for index, identity in enumerate(patches.ids or ()):
            row, name = start + index, patches.names[index]
            first, first_name = seen.setdefault((section.file, identity), (row, name))
            if recipes[first] == recipes[row]:
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
    recipes = recipe_names(device)
    first: dict[str, int] = {}
    for row, identity in enumerate(ids):
        other = first.setdefault(identity, row)
        if files[other] != files[row] and recipes[other] != recipes[row]:
            _LOG.warning("ids mean different patches in the files; they are named FILE:ID here, FILE counted from 1")
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
