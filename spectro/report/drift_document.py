"""What the report of a drift check says: the control chart, which way the print moved, why, every check, what to mind."""

from dataclasses import asdict
from typing import Any

from spectro.records.document import (
    Beside,
    Block,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    KeyNumber,
    KeyNumbers,
    Level,
    Section,
    Shown,
    Stack,
    Table,
    Verdict,
    Words,
)
from spectro.records.drift import ChartPoint, DriftResult, DriftState
from spectro.report.sections import keep_in_mind, on_terminal
from spectro.words.drift import (
    INKS_NOTE,
    cause_text,
    due_text,
    events_text,
    first_check_words,
    ink_text,
    limits_text,
    profile_text,
    sureness,
    tile_text,
    trend_sentence,
)
from spectro.words.numbers import day, difference_text, number

_LEVELS = {
    DriftState.FINE: Level.GOOD,
    DriftState.MOVED: Level.GOOD,
    DriftState.INSTRUMENTS: Level.GOOD,
    DriftState.SMALL: Level.ATTENTION,
    DriftState.DRIFT: Level.FAULT,
}


def drift_document(result: DriftResult) -> Document:
    """Return what the report of a drift check says."""
    newest = result.points[-1]
    return Document(
        kind="drift",
        title=f"Drift – {newest.origin} against {result.reference}",
        verdict=Verdict(
            text=result.verdict,
            level=_LEVELS[result.state],
            advice=result.advice_words,
            causes=tuple(cause_text(cause) for cause in result.causes),
        ),
        subject=f"{newest.origin}, {day(newest.date)}, against {result.reference}, {day(result.reference_date)}; "
        f"{result.patches} patches",
        footer=f"{result.light}; {result.measurement_condition}; absolute",
        data=_numbers(result),
        sections=(
            on_terminal("found", "", *_terminal(result)),
            Section(key="numbers", heading="", shown=Shown.HTML, blocks=(_key_numbers(result),)),
            Section(key="chart", heading="The control chart", blocks=_chart(result)),
            Section(key="direction", heading="Which way it moved", blocks=_direction(result)),
            Section(key="causes", heading="What moved", blocks=_causes(result)),
            Section(key="checks", heading="All checks", blocks=(_checks(result),)),
            *keep_in_mind(result.cautions),
        ),
    )


def _numbers(result: DriftResult) -> dict[str, Any]:
    """Every number of a result, with what it was computed for."""
    values = asdict(result)
    del values["settings"]["limits"]
    colour = {"lab": "D50, 2 degree, absolute", "delta_e": "CIEDE2000", "percentile_method": "linear interpolation"}
    return values | {"colour": colour}


def _terminal(result: DriftResult) -> tuple[Block, ...]:
    newest = result.points[-1]
    measured = f"{result.measurement_condition}; {result.light}"
    first = [
        ("reference", f"{result.reference}, {day(result.reference_date)}, {result.patches} patches; {measured}"),
        ("newest check", f"{newest.origin}, {day(newest.date)}: {difference_text(newest.difference)}"),
        ("limits", f"centre {result.centre:.2f}, upper {result.upper:.2f}; from {result.limits_from}"),
    ]
    if result.trend is not None:
        weeks = result.trend.weeks_to_limit
        soon = "" if weeks is None else f"; at the limit in {weeks:.0f} weeks"
        sure = "certain" if result.trend.certain else "not certain"
        first.append(("trend", f"ΔE00 {number(result.trend.per_week, 3, sign=True)} a week, {sure}{soon}"))
    changes = [
        (
            f"  {one.name}",
            f"ΔL* {_signed(one.lightness)}, Δa* {_signed(one.a)}, Δb* {_signed(one.b)}: {one.words} ({one.patches})",
        )
        for one in result.regions
    ]
    inks = [
        (f"  {ink.name}", f"{number(ink.percent, 1, sign=True)} ± {ink.error:.1f} %{'' if ink.certain else ', not certain'}")
        for ink in result.inks
    ]
    last = []
    likely = [
        f"{cause_text(cause)} ({sureness(cause.share, result.settings.limits)})" for cause in result.causes if cause.named
    ]
    if likely:
        last.append(("causes", ", ".join(likely)))
    if result.tile is not None:
        moved = "moved" if result.tile.moved else "steady"
        last.append(("tile", f"ΔE00 {result.tile.delta_e_2000:.2f}, instrument {moved} (limit {result.tile.limit:.2f})"))
    if result.profile_difference is not None and result.profile_before is not None:
        now, before = result.profile_difference.mean, result.profile_before.mean
        last.append(("profile", f"{result.profile}: ΔE00 {now:.2f} on average, {before:.2f} with the reference"))
    if result.next_check is not None:
        last.append(("next check", day(result.next_check)))
    return (
        Facts(rows=tuple(first), width=16),
        *((_terminal_checks(result),) if len(result.points) > 1 else ()),
        Facts(rows=(("direction", ""), *changes), width=18),
        *((Facts(rows=(("inks", ""), *inks), width=24),) if inks else ()),
        Facts(rows=tuple(last), width=16),
    )


def _terminal_checks(result: DriftResult) -> Table:
    rows = tuple(
        (
            f"  {point.origin[:32]}",
            day(point.date),
            f"{point.difference.mean:.2f}",
            f"{point.upper:.2f}",
            "  ".join([*(["beyond"] if point.beyond else []), *([events_text(point)] if point.events else [])]),
        )
        for point in result.points
    )
    columns = (
        Column(name="checks", width=34),
        Column(name="date", words=True, width=12),
        Column(name="mean", width=6),
        Column(name="limit", words=True, width=6),
        Column(name="", words=True),
    )
    return Table(columns=columns, rows=rows)


def _signed(value: float) -> str:
    return number(value, 2, sign=True)


def _key_numbers(result: DriftResult) -> KeyNumbers:
    newest, agreement = result.points[-1], result.settings.instrument_agreement
    difference = newest.difference
    spread = f"95th percentile {number(difference.p95, 2)}, largest {number(difference.max, 2)}"
    cause = result.causes[0] if result.causes else None
    return KeyNumbers(
        items=(
            KeyNumber(
                label="difference from the reference",
                value=number(difference.mean, 2),
                meaning=f"ΔE00, mean of {result.patches} patches; {spread}",
            ),
            KeyNumber(
                label="limit" if agreement is None else "two instruments",
                value=number(newest.upper if agreement is None else agreement, 2),
                meaning="what noise and sheets reach in about one check of 700"
                if agreement is None
                else "differ by this ΔE00 on average, as stated",
            ),
            KeyNumber(
                label="most likely cause",
                value="nothing moved" if cause is None else cause_text(cause),
                words=True,
                meaning=""
                if cause is None
                else f"{sureness(cause.share, result.settings.limits)}; explains {number(100 * cause.explains, 0)} % of the "
                "squared change",
            ),
            KeyNumber(
                label="control print due since" if result.overdue else "next check",
                value=day(result.next_check),
                words=True,
                aside=True,
                meaning="1 to 4 weeks between checks is common practice",
            ),
        )
    )


def _chart(result: DriftResult) -> tuple[Block, ...]:
    beyond = sum(point.beyond for point in result.points)
    figure = FigureSpec(
        draw="plot_drift:plot_control_chart",
        data=(result,),
        key="chart",
        title="Mean ΔE00 of each check from the reference",
        caption="The thin line reaches to the 95th percentile. A hollow mark is over limit: above the limit of its day, or in "
        f"a pattern that noise and sheets do not make. {trend_sentence(result.trend)}".rstrip(),
        label=f"Control chart of {len(result.points)} checks: mean difference from the reference, centre {result.centre:.2f}, "
        f"limit {result.upper:.2f}; {beyond} over limit; the newest is {result.points[-1].difference.mean:.2f}.",
        width=0.9,
    )
    events = Table(
        columns=(
            Column(name="no.", share=0.08),
            Column(name="date", words=True, share=0.17),
            Column(name="what was done", words=True, share=0.75),
        ),
        rows=tuple((str(place), day(event.date), event.words) for place, event in enumerate(result.events, 1)),
        label="what was done when",
        narrow=True,
    )
    return (
        Beside(blocks=(figure,), single=True),
        *((events,) if result.events else ()),
        Words(text=f"{limits_text(result)} {due_text(result)}", role="conditions"),
    )


def _direction(result: DriftResult) -> tuple[Block, ...]:
    figure = FigureSpec(
        draw="plot_drift:plot_drift_direction",
        data=(result,),
        key="direction",
        title="Change of every patch",
        caption="On the left how its hue and chroma changed, on the right its lightness.",
        label=f"Change of every patch in a*, b* and in lightness; on the whole {result.regions[0].words}.",
        width=0.7,
    )
    regions = Table(
        columns=(
            Column(name="patches", share=0.24),
            *(Column(name=name, share=0.11) for name in ("ΔL*", "Δa*", "Δb*", "ΔE00")),
            Column(name="in words", words=True, share=0.32),
        ),
        rows=tuple(
            (
                Cell(text=region.name, quiet=f"({region.patches})"),
                *(_signed(value) for value in (region.lightness, region.a, region.b)),
                number(region.delta_e_2000, 2),
                region.words,
            )
            for region in result.regions
        ),
        label="change of groups of patches",
    )
    inks = Table(
        columns=(
            Column(name="ink on the paper", share=0.24),
            Column(name="density", share=0.16),
            Column(name="± error", share=0.16),
            Column(name="in words", words=True, share=0.44),
        ),
        rows=tuple(
            (ink.name, f"{number(ink.percent, 1, sign=True)} %", f"{number(ink.error, 1)} %", ink_text(ink, result))
            for ink in result.inks
        ),
        label="change of each ink",
        note=INKS_NOTE,
    )
    return (Beside(blocks=(figure, Stack(blocks=(regions, *((inks,) if result.inks else ()))))),)


def _causes(result: DriftResult) -> tuple[Block, ...]:
    causes = Table(
        columns=(
            Column(name="cause"),
            Column(name="how likely", words=True),
            Column(name="explains of the squared change"),
        ),
        rows=tuple(
            (
                cause_text(cause),
                Cell(text=sureness(cause.share, result.settings.limits), bar=cause.share),
                f"{number(100 * cause.explains, 0)} %",
            )
            for cause in result.causes
        ),
        label="causes thought of",
        narrow=True,
    )
    said = [tile_text(result.tile)] if result.tile is not None else []
    if result.profile_difference is not None and result.profile_before is not None:
        said.append(profile_text(result.profile or "", result.profile_difference, result.profile_before))
    return (
        causes if result.causes else Words(text="Nothing that stands out of noise and sheets."),
        *(Words(text=text) for text in said),
    )


def _checks(result: DriftResult) -> Table:
    return Table(
        columns=(
            Column(name="readings", share=0.27),
            Column(name="date", words=True, share=0.13),
            *(Column(name=name, share=0.09) for name in ("mean", "95 %", "largest")),
            Column(name="limit then", share=0.11),
            Column(name="", words=True, share=0.22),
        ),
        rows=tuple(_check(point) for point in result.points),
        label="every check",
        note="ΔE00 from the reference; percentiles by linear interpolation.",
        strong=tuple(place for place, point in enumerate(result.points) if point.beyond),
    )


def _check(point: ChartPoint) -> tuple[str, ...]:
    numbers = (point.difference.mean, point.difference.p95, point.difference.max, point.upper)
    said = (["beyond"] if point.beyond else []) + ([events_text(point)] if point.events else [])
    return (point.origin, day(point.date), *(number(value, 2) for value in numbers), "; ".join(said))


def first_check_document(condition: str, file: str) -> Document:
    """Return that a reference print is kept. condition: its name on the shelf; file: the readings' name."""
    return Document(
        kind="drift-reference",
        title="Reference print",
        verdict=Verdict(text=first_check_words(condition, file), level=Level.GOOD),
        subject=file,
        data={"condition": condition, "reference": file},
        sections=(),
    )
