"""Readings without device values find them in the table of their chart: by id, else by name, never by order in silence.

Ids (or names) of readings and chart must be the same set. A chart with more patches than were read is refused too: ids
that count from 1 fit any larger chart, and the wrong chart would go unnoticed. A patch read twice finds its values twice.
"""

import logging
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.readings.patches import Patches
from spectro.records.arrays import IntArray

_LOG = logging.getLogger("spectro")
_FIX = "Give the chart these readings belong to, and all of its readings."


def joined_rows(readings: Sequence[Patches], chart: Patches) -> IntArray:
    """Return the row of the chart for each row of the readings, tables one after another: (n,).

    Raises MeasurementFileError where ids and names do not match, or say different things.
    """
    path = readings[0].path
    names = [name for part in readings for name in part.names]
    by_name = _by_key(names, chart.names) if all(names) and all(chart.names) else None
    have_ids = [part.ids is not None for part in readings]
    if all(have_ids) and chart.ids is not None:
        ids = [identity for part in readings for identity in part.ids or ()]
        by_id = _by_key(ids, chart.ids)
        if by_id is not None:
            if by_name is not None and (by_id != by_name).any():
                row = int(np.flatnonzero(by_id != by_name)[0])
                where, line = _place(readings, row)
                raise MeasurementFileError(
                    where,
                    line,
                    f"id {ids[row]} named {names[row]}, which the chart names {chart.names[by_id[row]]}",
                    f"the same ids and names as in {chart.path}",
                    _FIX,
                )
            return by_id
        if by_name is None:
            _refuse_difference(readings, ids, chart, chart.ids)
    if by_name is not None:
        _LOG.warning("%s: joined with %s by name, since the ids differ or are missing", path, chart.path)
        return by_name
    count = sum(len(part.lines) for part in readings)
    if not any(have_ids) and chart.ids is None and not any(names) and not any(chart.names):
        if count == len(chart.lines):
            _LOG.warning("%s: joined with %s by order: neither has ids or names", path, chart.path)
            return np.arange(count, dtype=np.int64)
        raise MeasurementFileError(path, 0, f"{count} readings", f"{len(chart.lines)}, as {chart.path} has", _FIX)
    raise MeasurementFileError(
        path, 0, "neither ids nor names that fit the chart", f"the SAMPLE_IDs or SAMPLE_NAMEs of {chart.path}", _FIX
    )


def _by_key(keys: Sequence[str], chart_keys: Sequence[str]) -> IntArray | None:
    """Return the chart's row for each key, None unless the chart has each of these keys once and no other."""
    rows = {key: row for row, key in enumerate(chart_keys)}
    if len(rows) != len(chart_keys) or set(keys) != rows.keys():
        return None
    return np.array([rows[key] for key in keys], dtype=np.int64)


def _place(parts: Sequence[Patches], row: int) -> tuple[Path | str, int]:
    for part in parts:
        if row < len(part.lines):
            return part.path, part.lines[row]
        row -= len(part.lines)
    return parts[-1].path, 0


def _refuse_difference(readings: Sequence[Patches], ids: Sequence[str], chart: Patches, chart_ids: Sequence[str]) -> None:
    """Raise the error that names the first id that does not match."""
    first_rows: dict[str, int] = {}
    for row, key in enumerate(chart_ids):
        if key in first_rows:
            raise MeasurementFileError(
                chart.path, chart.lines[row], f"SAMPLE_ID {key} twice", "each once in a chart", "Number the patches."
            )
        first_rows[key] = row
    for row, key in enumerate(ids):
        if key not in first_rows:
            where, line = _place(readings, row)
            raise MeasurementFileError(where, line, f"SAMPLE_ID {key}", f"an id of the chart {chart.path}", _FIX)
    read = set(ids)
    missing = [key for key in chart_ids if key not in read]
    raise MeasurementFileError(
        readings[0].path,
        0,
        f"no reading of {len(missing)} patches of the chart, the first with SAMPLE_ID {missing[0]}",
        f"a reading of each patch of {chart.path}",
        _FIX,
    )
