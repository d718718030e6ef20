"""Strips that were read beside the colours that are expected of them, page after page."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from spectro.checks.misread_findings import Seems, SheetJudgement, StripResult
from spectro.checks.misreads import judge_sheet
from spectro.checks.predicted_colours import PredictedColours
from spectro.checks.self_prediction import PageStrips
from spectro.readings.read_strips import ReadStrip
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout

LINE_UP = (Seems.SKIPPED_PATCH, Seems.REPEATED_PATCH, Seems.SHIFTED_PATCHES)
MOVED = (Seems.SWAPPED, Seems.SHIFTED_STRIPS, Seems.SKIPPED_STRIP)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class JudgedPage:
    """One page of one reading of the chart, judged."""

    reading: int
    page: int
    strips: tuple[int, ...]  # which strips read, as indices into all of them
    places: tuple[int, ...]  # strips of the chart in the order they were judged by: first those that were read
    judgement: SheetJudgement


def pages_of(strips: Sequence[ReadStrip], layout: ChartLayout) -> dict[tuple[int, int], tuple[int, ...]]:
    """Return the strips (indices) of each reading and page, in the order of reading."""
    found: dict[tuple[int, int], list[int]] = {}
    for index, strip in enumerate(strips):
        found.setdefault((strip.reading, layout.strips[strip.place].page), []).append(index)
    return {key: tuple(sorted(members, key=lambda i: strips[i].place)) for key, members in found.items()}


def page_strips(strips: Sequence[ReadStrip], lab: Sequence[FloatArray], layout: ChartLayout) -> list[PageStrips]:
    """Return the pages as the prediction from the readings themselves wants them. lab: (k, 3) of each strip read."""
    return [
        PageStrips(
            read=[lab[index] for index in members],
            expected=_expected_rows(strips, members, layout, page)[0],
            others=_other_pages(layout, page),
        )
        for (_, page), members in pages_of(strips, layout).items()
    ]


def judged_pages(
    strips: Sequence[ReadStrip], lab: Sequence[FloatArray], layout: ChartLayout, expected: PredictedColours
) -> list[JudgedPage]:
    """Judge every page of every reading. lab: (k, 3) of each strip read."""
    found = []
    for (reading, page), members in pages_of(strips, layout).items():
        rows, places = _expected_rows(strips, members, layout, page)
        together = np.concatenate(rows)
        judgement = judge_sheet(
            [lab[index] for index in members],
            [expected.lab[strip] for strip in rows],
            noise=expected.noise,
            paper=expected.paper,
            others={name: [expected.lab[s] for s in pages] for name, pages in _other_pages(layout, page).items()},
            hypotheses=[one.take(together) for one in expected.hypotheses],
            spread=None if expected.spread is None else [expected.spread[strip] for strip in rows],
            known_spread=expected.known_spread,
        )
        found.append(JudgedPage(reading=reading, page=page, strips=members, places=places, judgement=judgement))
    return found


def _expected_rows(
    strips: Sequence[ReadStrip], members: Sequence[int], layout: ChartLayout, page: int
) -> tuple[list[IntArray], tuple[int, ...]]:
    """Return chart rows of the strips of a page, and which they are: first those that were read, then the others."""
    read = [strips[index].place for index in members]
    rest = [place for place in layout.on_page(page) if place not in read]
    rows = [strips[index].targets for index in members] + [layout.strips[place].rows for place in rest]
    return rows, (*read, *rest)


def _other_pages(layout: ChartLayout, page: int) -> dict[str, list[IntArray]]:
    return {
        f"page {number}": [layout.strips[place].rows for place in layout.on_page(number)]
        for number in layout.pages
        if number != page
    }


def holds_each_other(result: StripResult, page: JudgedPage) -> bool:
    """Tell whether two strips hold each other's place."""
    other = result.partner
    return other is not None and other < len(page.strips) and page.judgement.strips[other].partner == result.strip
