"""Orders in which the rows of an export may run over a chart: by column or by row, from a corner, back and forth, as listed."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import IntArray
from spectro.records.chart_layout import ChartLayout

_MOST_ARRANGED = 4  # pages of which every order is tried; more are taken in runs, forwards and backwards
AS_LISTED = "as-listed"


@dataclass(frozen=True, slots=True)
class Walk:
    """One way over a page."""

    by_rows: bool = False
    bottom: bool = False
    right: bool = False
    back_and_forth: bool = False

    @property
    def name(self) -> str:
        """What people call it: "columns", "rows-from-top-right", "columns-back-and-forth"."""
        corner = f"-from-{self._corner}" if self.bottom or self.right else ""
        return f"{'rows' if self.by_rows else 'columns'}{corner}{'-back-and-forth' if self.back_and_forth else ''}"

    @property
    def words(self) -> str:
        """The same as a phrase; "" for the order of reading, column by column from the top left."""
        if self == Walk():
            return ""
        lines = "row by row" if self.by_rows else "column by column"
        return f"{lines} from the {self._corner.replace('-', ' ')}{', back and forth' if self.back_and_forth else ''}"

    @property
    def _corner(self) -> str:
        return f"{'bottom' if self.bottom else 'top'}-{'right' if self.right else 'left'}"

    def rows(self, layout: ChartLayout, page: int) -> IntArray:
        """Return rows of the chart in this order over a page."""
        here = np.flatnonzero(layout.positions[:, 0] == page)
        down = layout.positions[here, 1] * (-1 if self.bottom else 1)
        along = layout.positions[here, 2] * (-1 if self.right else 1)
        outer, inner = (down, along) if self.by_rows else (along, down)
        if self.back_and_forth:
            line = np.unique(outer, return_inverse=True)[1].reshape(-1)
            inner = np.where(line % 2, -inner, inner)
        return here[np.lexsort((inner, outer))]


WALKS = tuple(itertools.starmap(Walk, itertools.product((False, True), repeat=4)))
UPSIDE_DOWN = Walk(bottom=True, right=True).name
ORDER_NAMES = (*(walk.name for walk in WALKS), AS_LISTED)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowOrder:
    """Rows of the chart as an export may list them."""

    name: str  # of the order; "" where there is but one
    words: str
    rows: IntArray
    strips: tuple[int, ...]  # of the chart that it holds, in its order


def row_orders(
    layout: ChartLayout, count: int, taken: Sequence[int] = (), page: int | None = None, order: str = ""
) -> Iterator[RowOrder]:
    """Return the orders in which `count` readings may run over the whole chart or whole pages, the likeliest first.

    taken: strips that other files hold; their pages come last. page: the one that the readings are of. order: one of
    ORDER_NAMES, "" for any. Raises InputError for another order.
    """
    if order and order not in ORDER_NAMES:
        raise InputError(f"the order {order}", f"one of {', '.join(ORDER_NAMES)}", "Correct `row_order`.")
    for walk in WALKS if len(layout.positions) else WALKS[:1]:
        if order not in ("", walk.name):
            continue
        for pages in _page_sets(layout, taken, page):
            strips = tuple(index for number in pages for index in layout.on_page(number))
            if sum(len(layout.strips[index].rows) for index in strips) != count:
                continue
            if walk == Walk():
                rows = np.concatenate([layout.strips[index].rows for index in strips])
            else:
                rows = np.concatenate([walk.rows(layout, number) for number in pages])
            words = ", ".join(filter(None, (f"by order, as {_page_words(layout, pages)}", walk.words)))
            yield RowOrder(name=walk.name, words=words, rows=rows, strips=strips)
    if order in ("", AS_LISTED):
        yield from _listed(layout, count, taken, page)


def _listed(layout: ChartLayout, count: int, taken: Sequence[int], page: int | None) -> Iterator[RowOrder]:
    for pages in _page_sets(layout, taken, page):
        strips = tuple(index for number in pages for index in layout.on_page(number))
        rows = np.sort(np.concatenate([layout.strips[index].rows for index in strips]))
        if len(rows) == count:
            words = f"by order, as {_page_words(layout, pages)}, as the chart lists its patches"
            yield RowOrder(name=AS_LISTED, words=words, rows=rows, strips=strips)


def _page_sets(layout: ChartLayout, taken: Sequence[int], page: int | None) -> list[tuple[int, ...]]:
    """Return pages that one export may hold, in its order, the likeliest first: all of them, one that is free, any other."""
    if page is not None:
        return [(page,)]
    every = layout.pages
    free = [number for number in every if not set(layout.on_page(number)) & set(taken)]
    found = [every, *((number,) for number in (*free, *every))]
    if len(every) <= _MOST_ARRANGED:
        found += [chosen for size in range(2, len(every) + 1) for chosen in itertools.permutations(every, size)]
    else:
        runs = [every[start:end] for start in range(len(every)) for end in range(start + 2, len(every) + 1)]
        found += [*runs, *(run[::-1] for run in runs)]
    return list(dict.fromkeys(found))


def _page_words(layout: ChartLayout, pages: tuple[int, ...]) -> str:
    if pages == layout.pages:
        return "all of the chart"
    return f"page {pages[0]}" if len(pages) == 1 else f"pages {', '.join(map(str, pages))}"
