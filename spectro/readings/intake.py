"""Files of readings as they come from instruments: spectra, and what they say of their patches, not yet held against a chart.

Scales that differ within a file are kept as they are, where each row is plausible as a factor or a percentage: which of
them are wrong is for the comparison with the chart to say.

Readings of some of a chart's patches find their rows by name, else by id; nothing is guessed.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.files.text_lines import read_bytes
from spectro.readings.content import tables_of_bytes
from spectro.readings.device_scale import decided_scale, device_factors, prints_dark
from spectro.readings.labels import label_cells, label_positions
from spectro.readings.load import AS_STATED, DEVICE_TOLERANCE, check_count
from spectro.readings.patches import Patches
from spectro.readings.questionable import marks
from spectro.readings.sections import Section, chosen_sections, file_sections, say_tables
from spectro.readings.spectra import HIGHEST, LOWEST, PERCENT_ABOVE, Spectra, reflectance_factors
from spectro.records.arrays import BoolArray, FloatArray, IntArray
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import shown_name

_CARRIED = ("PRINT_CONDITIONS", INSISTED_KEYWORD)
_FIX = "Export the readings with the names of the chart's patch table, or take them with `spectro readings add`."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileReadings:
    """The readings of one file under one measurement condition, in file order."""

    path: Path
    sha256: str
    ids: tuple[str, ...] | None  # None: it has none
    names: tuple[str, ...]  # "" where there is none
    colour_space: str | None
    device: FloatArray | None  # (n, channels), 0 to 1
    positions: IntArray  # (n, 3) page, row, column, from 1, or (0, 3)
    cells: IntArray = field(default_factory=lambda: np.zeros((0, 3), dtype=np.int64))
    """(n, 3) places as fields or labels state them: page 0 where it is not said, rows and columns from 0 or 1; or (0, 3)."""
    cells_from: str = ""  # "ROW and COLUMN", "labels", "" without cells
    wavelengths: FloatArray
    reflectance: FloatArray  # (n, bands); rows a hundred times too large or small are still in it
    condition: MeasurementCondition | None
    backing: Backing | None
    created: str | None
    instrument: str
    description: str
    printed: str | None = None
    doubted: BoolArray = field(default_factory=lambda: np.zeros(0, dtype=bool))  # (n,) kept in doubt when read; (0,): none is
    unplaced_doubt: tuple[str, ...] = ()  # what is marked as kept in doubt and no patch is known by
    carried: tuple[tuple[str, str], ...] = ()  # entries of its header that go wherever its readings go

    def __len__(self) -> int:
        """Return the number of readings."""
        return len(self.reflectance)


def take_in(paths: Sequence[Path], options: ReadingOptions = AS_STATED) -> tuple[FileReadings, ...]:
    """Read files of one printing condition, all under one measurement condition and on one backing; one record a file.

    Of the options, chart and join are not used. Raises MeasurementFileError for what cannot be read, InputError for a file
    named twice.
    """
    if not paths:
        raise InputError("no file of readings", "at least one", "Name it.")
    sections: list[Section] = []
    sums = []
    tables = []
    for index, path in enumerate(paths):
        data = read_bytes(path)
        sums.append(hashlib.sha256(data).hexdigest())
        tables.append(tables_of_bytes(data, path, options.columns))
        sections += file_sections(tables[-1], path, index)
        if sums.index(sums[-1]) < index:
            raise InputError(f"{path}, the same as {paths[sums.index(sums[-1])]}", "each file once", "Name it once.")
    chosen, one_condition = chosen_sections(sections, options.condition)
    say_tables(chosen)
    for section in chosen[1:]:
        if not np.array_equal(section.spectra.wavelengths, chosen[0].spectra.wavelengths):
            raise MeasurementFileError(
                section.patches.path, section.patches.lines[0], "other wavelengths than in the first file",
                "one range and step in all files", "Export them in the same way.",
            )  # fmt: skip
    own = [section for section in chosen if section.patches.colour_space]
    scale = decided_scale([s.patches for s in own], [s.scale for s in own], options.device_scale) if own else 1
    found = []
    for index, path in enumerate(paths):
        mine = [section for section in chosen if section.file == index]
        found.append(_with_doubts(_file(path, sums[index], mine, scale, one_condition), tables[index]))
    check_count(sum(map(len, found)), ", ".join(shown_name(path) for path in paths))
    return tuple(found)


def _file(
    path: Path, sha256: str, sections: Sequence[Section], scale: int, condition: MeasurementCondition | None
) -> FileReadings:
    patches = [section.patches for section in sections]
    spaces = {part.colour_space for part in patches}
    if len(spaces) > 1:
        raise MeasurementFileError(path, 0, "device values in some of its tables", "in all or none", "Export it again.")
    space = spaces.pop()
    have_ids = all(part.ids is not None for part in patches)
    names = tuple(name for part in patches for name in part.names)
    ids = tuple(identity for part in patches for identity in part.ids or ()) if have_ids else None
    if all(len(part.positions) for part in patches):
        positions = np.concatenate([part.positions for part in patches])
    else:
        positions = label_positions(names)
        if not len(positions) and ids is not None:
            positions = label_positions(ids)
    cells, cells_from = _cells(patches, names, ids)
    device = [device_factors(part, scale) for part in patches] if space else []
    dark = [prints_dark(values, space or "") for values in device]
    dates = [section.created for section in sections if section.created]
    backings = {section.backing for section in sections if section.backing}
    return FileReadings(
        path=path,
        sha256=sha256,
        ids=ids,
        names=names,
        colour_space=space,
        device=np.concatenate(device) if device else None,
        positions=positions,
        cells=cells,
        cells_from=cells_from,
        wavelengths=sections[0].spectra.wavelengths,
        reflectance=_tolerant([section.spectra for section in sections], dark),
        condition=condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(dates) if dates else None,
        printed=max((section.printed for section in sections if section.printed), default=None),
        instrument="; ".join(dict.fromkeys(section.instrument for section in sections if section.instrument)),
        description="; ".join(dict.fromkeys(section.description for section in sections if section.description)),
    )


def _with_doubts(file: FileReadings, tables: Sequence[CgatsTable]) -> FileReadings:
    """Return readings with what the headers say of doubts, and of what they are, such as invented data."""
    doubted, unplaced = marks(file.ids or ("",) * len(file), file.names, file.positions, tables)
    carried = [(entry.keyword.upper(), entry.value) for table in tables for entry in table.values(*_CARRIED) if entry.value]
    return replace(file, doubted=doubted, unplaced_doubt=unplaced, carried=tuple(dict.fromkeys(carried)))


def _cells(parts: Sequence[Patches], names: Sequence[str], ids: Sequence[str] | None) -> tuple[IntArray, str]:
    """Return places as they are stated, and by what: fields, else labels."""
    if all(len(part.cells) for part in parts):
        return np.concatenate([part.cells for part in parts]), "ROW and COLUMN"
    for labels in (names, ids or ("",)):
        cells = label_cells(labels)
        if len(cells):
            return cells, "labels"
    return np.zeros((0, 3), dtype=np.int64), ""


def _tolerant(parts: Sequence[Spectra], dark: Sequence[BoolArray]) -> FloatArray:
    """Return reflectance factors (n, bands); a mix of factors and percentages stays one, on the scale of most rows."""
    try:
        return np.concatenate(reflectance_factors(parts, dark))
    except MeasurementFileError:
        raw = np.concatenate([part.raw for part in parts])
        peaks = raw.max(axis=1)
        percent = float(np.median(peaks)) > PERCENT_ABOVE
        values = raw / 100 if percent else raw
        plausible = (values.max(axis=1) <= HIGHEST) & (values.min(axis=1) >= LOWEST)
        mixed = (values.max(axis=1) / 100 <= HIGHEST) & (values.max(axis=1) > HIGHEST) & (values.min(axis=1) >= LOWEST * 100)
        if not (plausible | mixed).all() or plausible.all():
            raise
        return np.asarray(values)


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
