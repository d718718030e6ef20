"""Strips that were read held against the colours that are expected of them, page after page, and what that means in words."""

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
from spectro.records.readings_result import ReadingNote

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


def notes_of(pages: Sequence[JudgedPage], strips: Sequence[ReadStrip], layout: ChartLayout) -> tuple[ReadingNote, ...]:
    """Return what was found, in words with the names of strips and patches, and the options that accept an offer."""
    notes = []
    several = len({strip.reading for strip in strips}) > 1
    for page in pages:
        prefix = f"{page.reading}:" if several else ""
        where = f"Reading {page.reading}, page {page.page}" if several else f"Page {page.page}"
        for finding in page.judgement.findings:
            upside = finding.seems == Seems.UPSIDE_DOWN
            moved = finding.seems == Seems.WRONG_PAGE
            option = f"--turn-page {prefix}{page.page}" if upside else ""
            if moved:
                option = f"--as-page {prefix}{page.page}={finding.detail.split()[1].rstrip(',')}"
            notes.append(
                ReadingNote(
                    reading=page.reading, page=page.page, strip="", seems=str(finding.seems), confidence=finding.confidence,
                    offer=str(finding.offer), option=option, patches=(), difference=finding.after, other=finding.before,
                    amount=finding.amount, sentence=f"{where}: {finding.sentence}",
                )
            )  # fmt: skip
        if any(finding.seems == Seems.WRONG_CHART for finding in page.judgement.findings):
            continue
        for result in page.judgement.strips:
            if result.seems != Seems.FITS:
                notes.append(_strip_note(result, page, strips, layout, prefix))
    return tuple(notes)


def _strip_note(
    result: StripResult, page: JudgedPage, strips: Sequence[ReadStrip], layout: ChartLayout, prefix: str
) -> ReadingNote:
    strip = strips[page.strips[result.strip]]
    name = layout.strips[strip.place].name
    rows = layout.strips[strip.place].rows if result.seems in LINE_UP else strip.targets
    patches = tuple(layout.patch_name(int(rows[at])) for at in result.patches if at < len(rows))
    partner = None if result.partner is None else layout.strips[page.places[result.partner]].name
    return ReadingNote(
        reading=page.reading,
        page=page.page,
        strip=name,
        seems=str(result.seems),
        confidence=result.confidence,
        offer=str(result.offer),
        option=_option(result, name, partner, patches, prefix, _mutual(result, page)),
        patches=patches,
        difference=result.difference,
        other=result.other,
        amount=None,
        sentence=f"Strip {prefix}{name} {_words(result, partner, patches)}.",
    )


def _option(result: StripResult, name: str, partner: str | None, patches: Sequence[str], prefix: str, mutual: bool) -> str:
    match result.seems:
        case Seems.REVERSED:
            return f"--turn {prefix}{name}"
        case Seems.SWAPPED if partner and mutual:
            return f"--swap {prefix}{name},{prefix}{partner}"
        case Seems.SWAPPED | Seems.SHIFTED_STRIPS | Seems.SKIPPED_STRIP if partner:
            return f"--take-as {prefix}{name}={partner}"
        case Seems.BAD_PATCH:
            return " ".join(["--leave-out", *(f"{prefix}{patch}" for patch in patches)])
        case Seems.SKIPPED_PATCH | Seems.REPEATED_PATCH | Seems.SHIFTED_PATCHES:
            return f"--line-up {prefix}{name}"
        case _:
            return f"--leave-out {prefix}{name}"


def _mutual(result: StripResult, page: JudgedPage) -> bool:
    """Tell whether two strips hold each other's place."""
    other = result.partner
    return other is not None and other < len(page.strips) and page.judgement.strips[other].partner == result.strip


def _words(result: StripResult, partner: str | None, patches: Sequence[str]) -> str:
    listed = ", ".join(patches[:6]) + (f" and {len(patches) - 6} more" if len(patches) > 6 else "")
    fits = f"(ΔE00 {result.difference:.1f} from it, {result.other:.1f} from the next best)"
    match result.seems:
        case Seems.REVERSED:
            return f"was read from its other end {fits}"
        case Seems.SWAPPED:
            return f"is strip {partner} {fits}"
        case Seems.SHIFTED_STRIPS:
            return f"is strip {partner}, as all strips are shifted {fits}"
        case Seems.SKIPPED_STRIP:
            return f"is strip {partner}: one before it was skipped {fits}"
        case Seems.REPEATED_STRIP:
            return f"is strip {partner} a second time, or one behind it, moved on {fits}"
        case Seems.SKIPPED_PATCH:
            return f"has no reading of {listed}; the others are in order"
        case Seems.REPEATED_PATCH:
            return f"has {listed} twice, or one reading too many after it"
        case Seems.SHIFTED_PATCHES:
            return f"was begun too late or too early: no reading of {listed}"
        case Seems.BAD_PATCH:
            return f"fits, but not {listed}"
        case Seems.PERCENT_MIX:
            return f"has {len(patches)} readings on another scale: percentages among factors, or the other way round"
        case _:
            return f"fits no strip clearly (ΔE00 {result.difference:.1f} from the nearest)"
