"""Reference lists and readings of a chart made elsewhere, as patches: what they say of the chart, and nothing of what was read.

Files are of any kind that readings come in, and colour exchange files that hold targets alone. Several files are several
pages: by their page numbers where these differ, else in the order given.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.cxf import parse_cxf
from spectro.files.cxf_targets import INKS_KEYWORD, target_table
from spectro.files.text_lines import MAX_BYTES, read_bytes
from spectro.readings.content import Content, content_of, tables_of_bytes
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.list_places import listed_places
from spectro.readings.patches import Patches, table_patches
from spectro.readings.statements import description_text, stated_scale
from spectro.records.arrays import FloatArray
from spectro.records.chart_list import ChartList
from spectro.records.chart_origin import SourceFile

_OUR_DESCRIPTION = re.compile(r"(.*), chart ([0-9a-f]{8}), page \d+ of \d+")
_CHART_ID = re.compile(r"[0-9a-f]{8}")


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
    max_bytes: int = MAX_BYTES,
) -> ChartList:
    """Read the lists, or readings, of one chart; one file, or one a page.

    columns: field name to the name a file uses instead. device_scale: 1, 100 or 255, where the values do not tell it.
    Raises MeasurementFileError with file and line for what cannot be read without a guess: no device values, different
    kinds of them, one id or one place for two patches.
    """
    if not paths:
        raise InputError("no list of a chart", "at least one file", "Name it.")
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            raise InputError(f"the file {path} twice", "each page's list once", "Name it once.")
        seen.add(path.resolve())
    notes: list[str] = []
    listed = [_read(path, columns or {}, max_bytes, notes) for path in paths]
    parts = [one.patches for one in listed]
    for part in parts[1:]:
        if part.colour_space != parts[0].colour_space:
            raise MeasurementFileError(
                part.path, 0, f"{part.colour_space} beside {parts[0].colour_space} in {parts[0].path}",
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


def _read(path: Path, columns: Mapping[str, str], max_bytes: int, notes: list[str]) -> _Listed:
    data = read_bytes(path, max_bytes=max_bytes)
    tables = _tables(data, path, columns)
    found = [(table, patches) for table in tables if (patches := table_patches(table, path)).colour_space is not None]
    if not found:
        table = tables[0]
        raise MeasurementFileError(
            path, table.fields_line, f"no device values (fields {', '.join(table.fields[:12])})",
            "fields such as RGB_R, RGB_G, RGB_B",
            "Take the chart's reference list, or say with --columns which columns hold them (RGB_R=red).",
        )  # fmt: skip
    table, patches = found[0]
    for other, other_patches in found[1:]:
        if not _same(patches, other_patches):
            raise MeasurementFileError(
                path, other.fields_line, f"{len(found)} tables with different patches", "the patches of one page",
                "Put each table into a file of its own.",
            )  # fmt: skip
    patches, table = _each_once(patches, table, notes)
    return _Listed(table=table, patches=patches, source=SourceFile(name=path.name, sha256=hashlib.sha256(data).hexdigest()))


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
    notes.append("The files use the same ids for different patches; they are told apart as FILE:ID, FILE counted from 1.")
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
