"""Which patch of a chart each reading of a file claims to be: by id, by name, by place, by device values, or by order.

What was decided is said in words. Nothing is changed or left out; a claim that the colours contradict is found later.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.readings.intake import FileReadings
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout

DEVICE_TOLERANCE = 0.5 / 255 + 1e-9  # two lists of device values may differ by rounding to 8 bits
_FIX = "Give the chart these readings belong to with `chart`."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joined:
    """How one file was joined with a chart."""

    words: str  # "by id", "by order: page 2", …
    rows: IntArray | None  # (n,) row of the chart a reading; None: by order, to be cut into strips
    strips: tuple[int, ...] = ()  # strips of the chart it is read as, where by order


def join_with_chart(file: FileReadings, layout: ChartLayout, taken: Sequence[int] = (), page: int | None = None) -> Joined:
    """Return how a file's readings belong to a chart.

    taken: strips that earlier files were joined with by order. page: which page the file holds, where the user said so.
    Raises MeasurementFileError where nothing fits.
    """
    if file.colour_space and file.colour_space != layout.colour_space:
        raise MeasurementFileError(
            file.path, 0, f"{file.colour_space} device values", f"{layout.colour_space}, as the chart has", _FIX
        )
    if page is None:
        for words, keys, chart_keys in (
            ("by id", file.ids, layout.sample_ids),
            ("by name", file.names if all(file.names) else None, layout.sample_names if all(layout.sample_names) else None),
            ("by id, which are the chart's names", file.ids, layout.sample_names),
            ("by place on the page", _keys(file.positions), _keys(layout.positions)),
        ):
            rows = _by_key(keys, chart_keys)
            if rows is not None and _same_device(file, layout.device[rows]) and not _names_differ(file, layout, rows):
                return Joined(words=words, rows=rows)
    found = _by_order(file, layout, taken, page)
    if found is not None:
        return found
    rows = _by_device(file, layout) if page is None else None
    if rows is not None:
        return Joined(words="by device values", rows=rows)
    if file.device is not None:
        raise MeasurementFileError(
            file.path, 0, "device values that are not those of the chart", f"those of {layout.origin}", _FIX
        )
    return _by_count(file, layout, taken, page)


def _keys(positions: IntArray) -> tuple[str, ...] | None:
    return tuple("/".join(map(str, place)) for place in positions.tolist()) if len(positions) else None


def _by_key(keys: Sequence[str] | None, chart_keys: Sequence[str] | None) -> IntArray | None:
    """Return the chart's row of each key; None unless the chart has every one of them, each once."""
    if not keys or not chart_keys:
        return None
    rows = {key: row for row, key in enumerate(chart_keys)}
    if len(rows) != len(chart_keys) or not all(key in rows for key in keys):
        return None
    return np.array([rows[key] for key in keys], dtype=np.int64)


def _same_device(file: FileReadings, of_chart: FloatArray) -> bool:
    return file.device is None or bool((np.abs(file.device - of_chart) <= DEVICE_TOLERANCE).all())


def _names_differ(file: FileReadings, layout: ChartLayout, rows: IntArray) -> bool:
    """Tell whether names contradict a join: both have some, and most of them differ."""
    pairs = [(mine, layout.sample_names[row]) for mine, row in zip(file.names, rows.tolist(), strict=True)]
    said = [(mine, theirs) for mine, theirs in pairs if mine and theirs]
    known = set(layout.sample_names)
    return bool(said) and all(mine in known for mine, _ in said) and sum(a != b for a, b in said) > len(said) / 2


def _by_device(file: FileReadings, layout: ChartLayout) -> IntArray | None:
    """Return rows by device values, repeats in order; None where a value is not in the chart."""
    if file.device is None:
        return None
    steps = [tuple(row) for row in np.round(layout.device * 255).astype(int).tolist()]
    where: dict[tuple[int, ...], list[int]] = {}
    for row, key in enumerate(steps):
        where.setdefault(key, []).append(row)
    used: dict[tuple[int, ...], int] = {}
    found = []
    for key in map(tuple, np.round(file.device * 255).astype(int).tolist()):
        if key not in where:
            return None
        found.append(where[key][used.get(key, 0) % len(where[key])])
        used[key] = used.get(key, 0) + 1
    rows = np.array(found, dtype=np.int64)
    return rows if _same_device(file, layout.device[rows]) else None


def _by_order(file: FileReadings, layout: ChartLayout, taken: Sequence[int], page: int | None) -> Joined | None:
    """Return a join by order with whole pages or the whole chart, where the number of readings is theirs."""
    everything = tuple(range(len(layout.strips)))
    choices: list[tuple[str, tuple[int, ...]]] = []
    if page is None:
        choices.append(("all of the chart", everything))
        free = [number for number in layout.pages if not set(layout.on_page(number)) & set(taken)]
        choices += [(f"page {number}", layout.on_page(number)) for number in (*free, *layout.pages)]
    else:
        choices.append((f"page {page}", layout.on_page(page)))
    for words, strips in choices:
        rows = _rows_of(layout, strips)
        if len(rows) == len(file) and _same_device(file, layout.device[rows]):
            return Joined(words=f"by order, as {words}", rows=rows, strips=strips)
    return None


def _by_count(file: FileReadings, layout: ChartLayout, taken: Sequence[int], page: int | None) -> Joined:
    """Return the first free strips with about as many patches as were read; they are cut by their colours later."""
    pages = (
        [page] if page is not None else [p for p in layout.pages if not set(layout.on_page(p)) & set(taken)] or [*layout.pages]
    )
    strips = [index for number in pages for index in layout.on_page(number)]
    counts = np.cumsum([len(layout.strips[index].rows) for index in strips])
    nearest = int(np.argmin(np.abs(counts - len(file))))
    off = len(file) - int(counts[nearest])
    chosen = tuple(strips[: nearest + 1])
    if abs(off) > max(2, len(chosen)) or len(file) < 2:
        raise MeasurementFileError(
            file.path, 0,
            f"{len(file)} readings, without ids, names or device values that are the chart's",
            f"{len(layout)} as {layout.origin} has, those of a page, or of its first strips",
            "Give the chart these readings belong to, or say which page it is with `pages`.",
        )  # fmt: skip
    words = f"by order, as the first {len(chosen)} strips"
    rows = _rows_of(layout, chosen) if off == 0 else None
    return Joined(
        words=words + (f", {abs(off)} patches too {'many' if off > 0 else 'few'}" if off else ""), rows=rows, strips=chosen
    )


def _rows_of(layout: ChartLayout, strips: Sequence[int]) -> IntArray:
    return np.concatenate([layout.strips[index].rows for index in strips])
