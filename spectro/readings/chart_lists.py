"""Reference lists and readings of a chart made elsewhere, as patches: what they say of the chart, and nothing of what was read.

Files are of any kind that readings come in, and colour exchange files that hold targets alone. Several files are several
pages: by their page numbers where these differ, else in the order given.

Places come from fields for page, row and column, else from labels such as A1: letters are the strip and the number the place
along it, as on our own pages. Rows and columns that count from 0 are counted from 1.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import POSITION_FIELDS
from spectro.files.cxf import parse_cxf
from spectro.files.cxf_targets import INKS_KEYWORD, target_table
from spectro.files.text_lines import read_bytes
from spectro.readings.content import Content, content_of, tables_of_bytes
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.labels import label_positions
from spectro.readings.load import check_each_once
from spectro.readings.patches import Patches, counted, table_patches
from spectro.readings.statements import description_text, stated_scale
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_list import ChartList
from spectro.records.chart_origin import SourceFile
from spectro.records.shown_text import shown_name

_OUR_DESCRIPTION = re.compile(r"(.*), chart ([0-9a-f]{8}), page \d+ of \d+")
_CHART_ID = re.compile(r"[0-9a-f]{8}")
_NOWHERE = np.zeros((0, 3), dtype=np.int64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Listed:
    """One file."""

    table: CgatsTable
    patches: Patches
    source: SourceFile


def read_chart_lists(
    paths: Sequence[Path],
    *,
    columns: Mapping[str, str] | None = None,
    device_scale: int | None = None,
) -> ChartList:
    """Read the lists, or readings, of one chart; one file, or one a page.

    columns: field name to the name a file uses instead. device_scale: 1, 100 or 255, where the values do not tell it.
    Raises MeasurementFileError with file and line for what cannot be read without a guess: no device values, different
    kinds of them, one id or one place for two patches.
    """
    if not paths:
        raise InputError("no list of a chart", "at least one file", "Name it.")
    check_each_once(paths, "each page's list once")
    notes: list[str] = []
    listed = [_read(path, columns or {}, notes) for path in paths]
    parts = [one.patches for one in listed]
    for part in parts[1:]:
        if part.colour_space != parts[0].colour_space:
            raise MeasurementFileError(
                part.path, 0, f"{part.colour_space}, but {parts[0].colour_space} in {parts[0].path}",
                "device values of one kind", "Adopt them one by one.",
            )  # fmt: skip
    scale = decided_scale(
        parts, [stated_scale(one.table, part.path) for one, part in zip(listed, parts, strict=True)], device_scale
    )
    device = np.concatenate([device_factors(part, scale) for part in parts])
    inks, device = _inks(listed, device)
    places = listed_places([one.table for one in listed], parts)
    titles, chart_ids = zip(*map(_title_and_id, listed), strict=True)
    return ChartList(
        sources=tuple(one.source for one in listed),
        files=np.repeat(np.arange(len(parts)), [len(part.lines) for part in parts]),
        sample_ids=_ids(parts, notes),
        sample_names=tuple(name for part in parts for name in part.names),
        colour_space=f"{device.shape[1]}CLR" if inks else str(parts[0].colour_space),
        inks=inks,
        grey_is_light=all(_ours(one.table) for one in listed),
        device=device,
        places=places.values,
        places_from=places.origin,
        title=next(filter(None, titles), ""),
        chart_id=chart_ids[0] if len(set(chart_ids)) == 1 else "",
        notes=(*notes, *places.notes),
    )


def _read(path: Path, columns: Mapping[str, str], notes: list[str]) -> _Listed:
    data = read_bytes(path)
    tables = _tables(data, path, columns)
    found = [(table, patches) for table in tables if (patches := table_patches(table, path)).colour_space is not None]
    if not found:
        table = tables[0]
        raise MeasurementFileError(
            path, table.fields_line, f"no device values (fields {', '.join(table.fields[:12])})",
            "fields such as RGB_R, RGB_G, RGB_B",
            "Take the chart's reference list, or say with `columns` which columns hold them (RGB_R=red).",
        )  # fmt: skip
    table, patches = found[0]
    for other, other_patches in found[1:]:
        if not _same(patches, other_patches):
            raise MeasurementFileError(
                path, other.fields_line, f"{len(found)} tables with different patches", "the patches of one page",
                "Put each table into a file of its own.",
            )  # fmt: skip
    patches, table = _each_once(patches, table, notes)
    return _Listed(
        table=table, patches=patches, source=SourceFile(name=shown_name(path), sha256=hashlib.sha256(data).hexdigest())
    )


def _tables(data: bytes, path: Path, columns: Mapping[str, str]) -> tuple[CgatsTable, ...]:
    """Return the tables of a file; of a colour exchange file without readings, that of its targets."""
    if not columns and data and content_of(data, path) is Content.CXF:
        document = parse_cxf(data, path)
        if not any(item.spectra or item.colours for item in document.objects):
            table = target_table(document, path)
            if table is None:
                raise MeasurementFileError(
                    path, 0, f"{len(document.objects)} objects without device values", "a list of targets", "Export it again."
                )
            return (table,)
    return tables_of_bytes(data, path, columns)


def _same(one: Patches, other: Patches) -> bool:
    """Tell whether two tables list the same patches: readings of one page under several conditions do."""
    return (
        one.ids == other.ids
        and one.names == other.names
        and one.colour_space == other.colour_space
        and np.array_equal(one.raw, other.raw)
        and np.array_equal(one.positions, other.positions)
    )


def _each_once(patches: Patches, table: CgatsTable, notes: list[str]) -> tuple[Patches, CgatsTable]:
    """Return patches and table with rows left out that are a second reading of a patch: the same id, name and values.

    One id for several patches is let be where names tell them apart.
    """
    if patches.ids is None or len(set(patches.ids)) == len(patches.ids):
        return patches, table
    first: dict[str, int] = {}
    keep: list[int] = []
    for row, identity in enumerate(patches.ids):
        at = first.setdefault(identity, row)
        other_name = patches.names[at] != patches.names[row] and patches.names[at] and patches.names[row]
        if at == row or (other_name and len(set(patches.names)) == len(patches.names)):
            keep.append(row)
        elif (
            not np.array_equal(patches.raw[at], patches.raw[row])
            or patches.names[at] != patches.names[row]
            or (len(patches.positions) and not np.array_equal(patches.positions[at], patches.positions[row]))
        ):
            raise MeasurementFileError(
                patches.path, patches.lines[row], f"SAMPLE_ID {identity} again for another patch", "each id once in a list",
                "Number the patches.",
            )  # fmt: skip
    if len(keep) == len(patches.ids):
        return patches, table
    notes.append(f"{Path(patches.path).name}: {len(patches.ids) - len(keep)} rows read patches once more and were left out.")
    shorter = CgatsTable(
        signature=table.signature,
        header=table.header,
        fields=table.fields,
        rows=tuple(table.rows[row] for row in keep),
        row_lines=tuple(table.row_lines[row] for row in keep),
        fields_line=table.fields_line,
        decimal_comma=table.decimal_comma,
    )
    return table_patches(shorter, patches.path), shorter


def _ids(parts: Sequence[Patches], notes: list[str]) -> tuple[str, ...]:
    """Return ids: as listed; numbers in the order of the list where a file has none; with the page's number before where
    pages count anew."""
    if any(part.ids is None for part in parts):
        notes.append("The patches have no ids of their own; they are numbered in the order of the list.")
        return tuple(str(number) for number in range(1, sum(len(part.lines) for part in parts) + 1))
    ids = [identity for part in parts for identity in part.ids or ()]
    if len(set(ids)) == len(ids):
        return tuple(ids)
    names = [name for part in parts for name in part.names]
    if all(names) and len(set(names)) == len(names):
        notes.append("Some ids stand for several patches; the names, which do not, are taken for ids, too.")
        return tuple(names)
    notes.append("The files use the same ids for different patches; they are named FILE:ID here, FILE counted from 1.")
    return tuple(f"{file}:{identity}" for file, part in enumerate(parts, start=1) for identity in part.ids or ())


def _inks(listed: Sequence[_Listed], device: FloatArray) -> tuple[tuple[str, ...], FloatArray]:
    """Return the inks' names as far as all lists say them, and device values without inks that only the format adds."""
    named = {entry.value for one in listed for entry in one.table.values(INKS_KEYWORD)}
    if len(named) != 1 or not str(listed[0].patches.colour_space).endswith("CLR"):
        return (), device
    names = [name.strip() for name in named.pop().split(",")]
    if len(names) != device.shape[1]:
        return (), device
    if listed[0].table.signature == "CxF3":  # which always lists the first four
        used = [index for index, name in enumerate(names) if index >= 4 or (device[:, index] > 0).any()]
        return tuple(names[index] for index in used), device[:, used]
    return tuple(names), device


def _ours(table: CgatsTable) -> bool:
    return any(entry.value == "spectro" for entry in table.values("ORIGINATOR"))


def _title_and_id(listed: _Listed) -> tuple[str, str]:
    """Return what a list calls its chart, and the id of the chart of ours it was written for; "" where it does not say."""
    title = description_text(listed.table)
    match = _OUR_DESCRIPTION.fullmatch(title)
    if match:
        return match[1], match[2]
    stated = [entry.value for entry in listed.table.values("CHART_ID")]
    return title, stated[0] if stated and _CHART_ID.fullmatch(stated[0]) else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ListedPlaces:
    """Places of all patches, file after file, and how they were come by."""

    values: IntArray  # (n, 3) page, row, column from 1, or (0, 3)
    origin: str  # "fields", "names", "ids"; "" where nothing states them
    notes: tuple[str, ...]


def listed_places(tables: Sequence[CgatsTable], parts: Sequence[Patches]) -> ListedPlaces:
    """Return the places of the patches of some files, one after another.

    Raises MeasurementFileError where fields state a place in part or one place twice.
    """
    values, origin = [_field_places(table, part) for table, part in zip(tables, parts, strict=True)], "fields"
    if not all(map(len, values)):
        if any(map(len, values)):
            lacking = next(part for part, found in zip(parts, values, strict=True) if not len(found))
            raise MeasurementFileError(
                lacking.path, 0, "no ROW and COLUMN, which other files have", "places in all files or in none",
                "Export all pages in the same way.",
            )  # fmt: skip
        by_label = {
            "names": [label_positions(part.names) for part in parts],
            "ids": [label_positions(part.ids or ("",)) for part in parts],
        }
        origin = next((word for word, found in by_label.items() if all(map(len, found))), "")
        values = by_label.get(origin, [])
        if not values:
            return ListedPlaces(values=_NOWHERE, origin="", notes=())
    notes: list[str] = []
    if origin == "fields":
        _count_from_one(values)
    else:
        values = [_from_first_column(found) for found in values]
    _number_pages(values, notes)
    _check_distinct(values, parts)
    return ListedPlaces(values=np.concatenate(values), origin=origin, notes=tuple(notes))


def _field_places(table: CgatsTable, part: Patches) -> IntArray:
    """Return page (0 where there is no field for it), row and column as written; (0, 3) without rows and columns."""
    page, row, column = (table.column(name) for name in POSITION_FIELDS)
    if row is None or column is None:
        return _NOWHERE
    places = []
    for line, cells in zip(table.row_lines, table.rows, strict=True):
        own = [cells[row], cells[column]] if page is None else [cells[page], cells[row], cells[column]]
        numbers = [counted(cell) for cell in own]
        if None in numbers:
            raise MeasurementFileError(
                part.path, line, f"{', '.join(map(repr, own))} as a place", "page, row and column as whole numbers or letters",
                "Correct the cells, or delete these columns.",
            )  # fmt: skip
        places.append([0, *numbers] if page is None else numbers)
    return np.array(places, dtype=np.int64).reshape(-1, 3)


def _count_from_one(values: Sequence[IntArray]) -> None:
    """Count rows and columns from 1 where any of them is 0, in place."""
    for axis in (1, 2):
        if min(int(found[:, axis].min()) for found in values) == 0:
            for found in values:
                found[:, axis] += 1


def _from_first_column(places: IntArray) -> IntArray:
    """Return places with the columns of each page counted from its first: letters often go on over the pages."""
    result = places.copy()
    for page in np.unique(places[:, 0]):
        here = places[:, 0] == page
        result[here, 2] -= places[here, 2].min() - 1
    return result


def _number_pages(values: Sequence[IntArray], notes: list[str]) -> None:
    """Number the pages from 1 without gaps, in place."""
    pages = [set(found[:, 0].tolist()) for found in values]
    known = sorted(set().union(*pages))
    if len(values) == 1 or (sum(map(len, pages)) == len(known)):
        if known[0] > 0 and known != list(range(1, len(known) + 1)):
            notes.append(f"Pages {', '.join(map(str, known))} are the new chart's pages 1 to {len(known)}.")
        for found in values:
            found[:, 0] = np.searchsorted(known, found[:, 0]) + 1
        return
    if any(len(own) > 1 for own in pages):
        notes.append("Files share page numbers; each page of each file is taken as a page of its own, in the order given.")
    else:
        notes.append("The files are taken as pages in the order given: none, or the same, has a page number.")
    before = 0
    for found, own in zip(values, pages, strict=True):
        found[:, 0] = np.searchsorted(sorted(own), found[:, 0]) + 1 + before
        before += len(own)


def _check_distinct(values: Sequence[IntArray], parts: Sequence[Patches]) -> None:
    taken: dict[tuple[int, ...], str] = {}
    for found, part in zip(values, parts, strict=True):
        for index, place in enumerate(found.tolist()):
            there = taken.setdefault(tuple(place), part.place(index))
            if there != part.place(index):
                page, row, column = place
                raise MeasurementFileError(
                    part.path, part.lines[index], f"{part.place(index)} on page {page}, row {row}, column {column}, where "
                    f"{there} stands", "each place once", "Correct the list.",
                )  # fmt: skip
