"""Files of readings joined with their chart: by what they say of their patches, as far as their colours agree."""

import logging
from collections.abc import Sequence

from spectro.checks.order_choice import LEAST_READINGS, strips_held, told_by_colours
from spectro.checks.predicted_colours import generic_lab
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError
from spectro.readings.intake import FileReadings
from spectro.readings.row_orders import UPSIDE_DOWN, Walk
from spectro.readings.strip_join import Joined, by_count, claims, rows_of
from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import ChartLayout
from spectro.words.joins import otherwise_joined, several_orders, without_strips

_LOG = logging.getLogger("spectro")


def join_files(files: Sequence[FileReadings], layout: ChartLayout, pages: Sequence[int], order: str = "") -> list[Joined]:
    """Return how each file is joined with the chart.

    pages: which page each holds, where nothing tells; (): all tell. order: in which order their rows run over the chart,
    where nothing tells; "": ids, places and colours do. Raises InputError for pages that the chart does not have, and where
    several orders fit the colours alike.
    """
    if pages and len(pages) != len(files):
        raise InputError(f"{len(pages)} pages for {len(files)} files", "one page a file", "Correct `pages`.")
    wrong = [page for page in pages if page not in layout.pages]
    if wrong:
        raise InputError(f"page {wrong[0]}", f"a page of the chart, 1 to {max(layout.pages)}", "Correct `pages`.")
    expected = generic_lab(layout.device, layout.colour_space)
    joins: list[Joined] = []
    used: list[int] = []
    for number, file in enumerate(files):
        join = _joined(file, layout, expected, used, pages[number] if pages else None, order)
        used += join.strips
        joins.append(join)
        _LOG.info("%s: joined with %s %s", file.path, layout.origin, join.words)
    return joins


def _joined(
    file: FileReadings,
    layout: ChartLayout,
    expected: FloatArray | None,
    taken: Sequence[int],
    page: int | None,
    order: str,
) -> Joined:
    possible = claims(file, layout, taken, page, order)
    if possible and (file.device is not None or expected is None or len(file) < LEAST_READINGS):
        return possible[0]
    if order and not possible:
        raise InputError(
            f"{len(file)} readings in {file.path}",
            f"{len(layout)} for the order {order}, or those of a page",
            "Correct `row_order`.",
        )
    if expected is None or len(file) < LEAST_READINGS:
        return by_count(file, layout, taken, page)
    lab = spectra_to_lab(file.reflectance, file.wavelengths)
    if not order:
        possible += _without_strips(lab, layout, expected, taken, page)
    if not possible:
        return by_count(file, layout, taken, page)
    told = told_by_colours(lab, [join.rows for join in possible if join.rows is not None], expected)
    _LOG.debug("%s: %s fits best of %d joins, %.2f of chance", file.path, told.chosen, len(possible), told.share)
    if told.chosen is None:
        return _as_claimed(file, possible[0], layout, taken, page)
    if told.rivals:
        names = list(dict.fromkeys(possible[k].order or possible[k].words for k in (told.chosen, *told.rivals)))
        raise InputError(*several_orders(str(file.path), names))
    chosen = possible[told.chosen]
    return otherwise_joined(_upside_down(chosen, possible, layout) or chosen, possible[0])


def _upside_down(chosen: Joined, possible: Sequence[Joined], layout: ChartLayout) -> Joined | None:
    """Return the plain order of whole pages that lay upside down at a strip reader: they are turned when a person asks.

    None for all else, and where strips differ in length: then their ends cannot be told without the order found.
    """
    if chosen.order != UPSIDE_DOWN or len({len(layout.strips[index].rows) for index in chosen.strips}) > 1:
        return None
    return next((join for join in possible if join.order == Walk().name and join.strips == chosen.strips), None)


def _as_claimed(file: FileReadings, first: Joined, layout: ChartLayout, taken: Sequence[int], page: int | None) -> Joined:
    """Return the likeliest join of readings that fit nowhere, for what is misread to be found in it."""
    if not first.missing_strips:
        return first
    try:
        return by_count(file, layout, taken, page)
    except MeasurementFileError:
        return first


def _without_strips(
    lab: FloatArray, layout: ChartLayout, expected: FloatArray, taken: Sequence[int], page: int | None
) -> list[Joined]:
    """Return joins by order in which strips were skipped: of one page, or of the whole chart."""
    found = []
    pages = [(page,)] if page is not None else [*((number,) for number in layout.pages), layout.pages]
    for numbers in dict.fromkeys(pages):
        strips = [index for number in numbers for index in layout.on_page(number)]
        if not len(lab) < sum(len(layout.strips[index].rows) for index in strips):
            continue
        held = strips_held(lab, [expected[layout.strips[index].rows] for index in strips])
        if held is None:
            continue
        kept = tuple(strips[index] for index in held)
        lost = [layout.strips[index].name for index in strips if index not in kept]
        where = f"page {numbers[0]}" if len(numbers) == 1 and len(layout.pages) > 1 else "all of the chart"
        join = Joined(
            words=without_strips(where, tuple(lost)),
            rows=rows_of(layout, kept),
            strips=kept,
            missing_strips=tuple(lost),
            found=True,
        )
        found.append((bool(set(kept) & set(taken)), join))
    return [join for _, join in sorted(found, key=lambda one: one[0])]
