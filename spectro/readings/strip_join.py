"""Which patch of a chart each reading of a file claims to be: by id, by name, by place, by device values, or by order.

Several claims may be possible at once: a file's own numbers 1, 2, … look like the ids of any chart. Which of them holds is for
the colours to say (`checks/order_choice.py`). Nothing is changed or left out.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.readings.intake import FileReadings
from spectro.readings.labels import label_cells
from spectro.readings.row_orders import row_orders
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout

DEVICE_TOLERANCE = 0.5 / 255 + 1e-9  # two lists of device values may differ by rounding to 8 bits
_FIX = "Give the chart these readings belong to with `chart`."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joined:
    """How one file was joined with a chart."""

    words: str  # "by id", "by order, as page 2", …
    rows: IntArray | None  # (n,) row of the chart a reading; None: by order, to be cut into strips
    strips: tuple[int, ...] = ()  # strips of the chart it is read as, where by order
    order: str = ""  # name of the order, where by order
    missing_strips: tuple[str, ...] = ()  # names of strips that were skipped, where by order
    found: bool = False  # its colours told it, against what the file itself says or the order of reading


def claims(
    file: FileReadings, layout: ChartLayout, taken: Sequence[int] = (), page: int | None = None, order: str = ""
) -> list[Joined]:
    """Return the joins that a file's ids, names, places, number of rows and device values allow, the likeliest first.

    taken: strips that earlier files were joined with by order. page, order: which page the file holds and in which order it
    runs, where the user said so. Raises MeasurementFileError for device values of another kind or another chart.
    """
    if file.colour_space and file.colour_space != layout.colour_space:
        raise MeasurementFileError(
            file.path, 0, f"{file.colour_space} device values", f"{layout.colour_space}, as the chart has", _FIX
        )
    found = list(_by_keys(file, layout)) if page is None and not order else []
    found += [
        Joined(words=one.words, rows=one.rows, strips=one.strips, order=one.name)
        for one in row_orders(layout, len(file), taken, page, order)
    ]
    known = [join for join in found if join.rows is not None and _same_device(file, layout.device[join.rows])]
    rows = _by_device(file, layout) if page is None and not order else None
    if rows is not None:
        known.append(Joined(words="by device values", rows=rows))
    if file.device is not None and not known:
        raise MeasurementFileError(
            file.path, 0, "device values that are not those of the chart", f"those of {layout.origin}", _FIX
        )
    return known


def by_count(file: FileReadings, layout: ChartLayout, taken: Sequence[int], page: int | None) -> Joined:
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
    rows = rows_of(layout, chosen) if off == 0 else None
    return Joined(
        words=words + (f", {abs(off)} patches too {'many' if off > 0 else 'few'}" if off else ""), rows=rows, strips=chosen
    )


def rows_of(layout: ChartLayout, strips: Sequence[int]) -> IntArray:
    """Return rows of the chart, strip after strip."""
    return np.concatenate([layout.strips[index].rows for index in strips])


def _by_keys(file: FileReadings, layout: ChartLayout) -> Iterator[Joined]:
    """Return joins by what a file says of each reading."""
    named = file.names if all(file.names) else None
    chart_names = layout.sample_names if all(layout.sample_names) else None
    by_name = _by_key(named, chart_names)
    keyed = [
        ("by id", _by_key(file.ids, layout.sample_ids)),
        ("by name", by_name),
        ("by id, which are the chart's names", _by_key(file.ids, layout.sample_names)),
    ]
    if by_name is not None and file.ids and len(set(file.ids)) < len(file.ids) and len(set(file.names)) == len(file.names):
        keyed[:2] = keyed[1::-1]  # ids that come twice where names do not
    for words, rows in keyed:
        if rows is not None and not _names_differ(file, layout, rows):
            yield Joined(words=words, rows=rows)
    if not len(file.cells):
        return
    rows = _by_label(file, layout)
    if rows is not None:
        yield Joined(words="by label", rows=rows)
    for words, rows in _by_place(file, layout):
        yield Joined(words=f"by its {file.cells_from}{words}", rows=rows)


def _by_label(file: FileReadings, layout: ChartLayout) -> IntArray | None:
    """Return rows by labels that are the chart's, written otherwise."""
    chart = label_cells(layout.sample_names)
    if file.cells_from != "labels" or not len(chart):
        return None
    paged = bool(file.cells[:, 0].all() and chart[:, 0].all())
    return _by_key(_keys(file.cells, paged), _keys(chart, paged))


def _by_place(file: FileReadings, layout: ChartLayout) -> Iterator[tuple[str, IntArray]]:
    """Return rows by places on the page, as stated, then with rows and columns exchanged or counted from the other end."""
    if not len(layout.positions):
        return
    for pages, page_words in _pages_of_cells(file.cells, layout):
        for exchanged, bottom, right in itertools.product((False, True), repeat=3):
            cells = file.cells[:, [0, 2, 1]] if exchanged else file.cells
            placed = cells + (cells[:, 1:].min() == 0) * np.array([0, 1, 1])
            placed[:, 0] = pages
            for axis, flipped in ((1, bottom), (2, right)):
                if flipped:
                    most = {p: layout.positions[layout.positions[:, 0] == p, axis].max() for p in set(pages.tolist())}
                    placed[:, axis] = np.array([most[p] for p in pages.tolist()]) + 1 - placed[:, axis]
            rows = _by_key(_keys(placed), _keys(layout.positions))
            if rows is not None:
                ends = [word for word, flipped in (("bottom", bottom), ("right", right)) if flipped]
                counted = f", counted from the {' '.join(ends)}" if ends else ""
                yield f"{', exchanged' if exchanged else ''}{counted}{page_words}", rows


def _pages_of_cells(cells: IntArray, layout: ChartLayout) -> Iterator[tuple[IntArray, str]]:
    """Return the pages that rows may stand on, and words for them."""
    if cells[:, 0].all() and set(cells[:, 0].tolist()) <= set(layout.pages):
        yield cells[:, 0], ""
        return
    times: dict[tuple[int, int], int] = {}
    turn = np.zeros(len(cells), dtype=np.int64)
    for index, (_, row, column) in enumerate(cells.tolist()):
        turn[index] = times[row, column] = times.get((row, column), 0) + 1
    if turn.max() == 1:
        for page in layout.pages:
            yield np.full(len(cells), page), f", as page {page}" if len(layout.pages) > 1 else ""
    elif turn.max() <= len(layout.pages):
        for pages in itertools.islice(itertools.permutations(layout.pages, int(turn.max())), 24):
            yield np.array(pages)[turn - 1], f", as pages {', '.join(map(str, pages))}"


def _keys(places: IntArray, paged: bool = True) -> tuple[str, ...]:
    return tuple("/".join(map(str, place if paged else place[1:])) for place in places.tolist())


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
