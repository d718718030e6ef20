"""The drift report as a PDF for archiving."""

from spectro.records.drift import DriftResult, share_words
from spectro.report.drift_page import cause_name
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_control_chart import plot_control_chart
from spectro.report.plot_drift_direction import plot_drift_direction


def drift_pdf(result: DriftResult) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    newest = result.points[-1]
    subject = f"{newest.origin}{_dated(newest.date)}, against {result.reference}{_dated(result.reference_date)}"
    sections = (
        _numbers(result),
        _direction(result),
        _causes(result),
        _checks(result),
        PdfSection(heading="What to keep in mind", points=result.cautions),
    )
    conditions = f"{result.light}, {result.measurement_condition}"
    return pdf_report(f"Drift – {newest.origin}", result.verdict, subject, sections, footer=conditions)


def _numbers(result: DriftResult) -> PdfSection:
    newest, agreement = result.points[-1], result.settings.instrument_agreement
    limit = (
        ("limit, what noise and sheets reach in about one check of 700", number(newest.upper, 2))
        if agreement is None
        else ("two instruments differ by this in the mean, as stated", number(agreement, 2))
    )
    rows = (
        (f"difference from the reference, mean of {result.patches} patches", number(newest.difference.mean, 2)),
        ("95th percentile", number(newest.difference.p95, 2)),
        ("largest", number(newest.difference.max, 2)),
        limit,
    )
    trend = ""
    if result.trend is not None:
        per_week = f"{'+' if result.trend.per_week > 0 else ''}{number(result.trend.per_week, 3)}"
        trend = (
            f"The checks change by {per_week} a week."
            if result.trend.certain
            else f"No trend is certain ({per_week} ± {number(result.trend.error, 3)} a week)."
        )
    due = f"Next check by {_day(result.next_check)}; 1 to 4 weeks are common practice." if result.next_check else ""
    return PdfSection(
        heading="The control chart",
        paragraphs=tuple(text for text in (result.advice_words, trend, due) if text),
        parts=(
            PdfTable(
                header=("newest check", "ΔE00"),
                rows=rows,
                note=f"Individuals chart, limit 3 standard deviations; {result.limits_from}.",
            ),
            PdfFigure(
                figure=plot_control_chart(result),
                title="Mean ΔE00 of each check from the reference",
                caption="The thin line reaches to the 95th percentile. A hollow mark lies beyond its limit, or in a pattern "
                "that noise and sheets do not make.",
            ),
        ),
    )


def _direction(result: DriftResult) -> PdfSection:
    regions = tuple(
        (
            f"{region.name} ({region.patches}): {region.words}",
            *(number(value, 2) for value in (region.lightness, region.a, region.b, region.delta_e_2000)),
        )
        for region in result.regions
    )
    parts: list[PdfTable | PdfFigure] = [
        PdfFigure(
            figure=plot_drift_direction(result),
            title="Change of every patch",
            caption="On the left its hue and chroma, on the right its lightness.",
            width=0.8,
        ),
        PdfTable(header=("patches", "ΔL*", "Δa*", "Δb*", "ΔE00"), rows=regions),
    ]
    if result.inks:
        inks = tuple(
            (
                ink.name,
                f"{number(ink.percent, 1)} %",
                f"{number(ink.error, 1)} %",
                ("weaker" if ink.percent < 0 else "stronger") if ink.certain else "not certain",
            )
            for ink in result.inks
        )
        parts.append(PdfTable(header=("ink on the paper", "density", "± error", ""), rows=inks))
    return PdfSection(heading="Which way it moved", parts=tuple(parts))


def _causes(result: DriftResult) -> PdfSection:
    words = []
    if result.tile is not None:
        moved = (
            f"the instrument moved. With that taken out the newest check differs by {number(result.tile.left, 2)}"
            if result.tile.moved
            else "the instrument is steady"
        )
        words.append(
            f"The tile (or anchors) changed by ΔE00 {number(result.tile.delta_e_2000, 2)}: {moved} "
            f"(limit {number(result.tile.limit, 2)})."
        )
    if result.profile_difference is not None and result.profile_before is not None:
        words.append(
            f"Against the profile {result.profile}: ΔE00 {number(result.profile_difference.mean, 2)} in the mean, "
            f"{number(result.profile_difference.p95, 2)} at the 95th percentile; with the reference it was "
            f"{number(result.profile_before.mean, 2)} and {number(result.profile_before.p95, 2)}."
        )
    if not result.causes:
        return PdfSection(heading="What moved", paragraphs=("Nothing that stands out of noise and sheets.", *words))
    rows = tuple(
        (cause_name(cause), share_words(cause.share), f"{number(100 * cause.explains, 0)} %") for cause in result.causes
    )
    table = PdfTable(
        header=("cause", "probability among those thought of", "explains"),
        rows=rows,
        note="Of the squared change of all patches.",
    )
    return PdfSection(heading="What moved", paragraphs=tuple(words), parts=(table,))


def _checks(result: DriftResult) -> PdfSection:
    rows = tuple(
        (
            point.origin + (f" (after {'; '.join(point.events)})" if point.events else ""),
            _day(point.date),
            *(number(value, 2) for value in (point.difference.mean, point.difference.p95, point.difference.max, point.upper)),
            "beyond" if point.beyond else "",
        )
        for point in result.points
    )
    events = tuple(f"{_day(event.date)}: {event.words}" for event in result.events)
    return PdfSection(
        heading="All checks",
        parts=(PdfTable(header=("readings", "date", "mean", "95 %", "largest", "limit then", ""), rows=rows),),
        points=events,
    )


def _day(date: object) -> str:
    return f"{date:%Y-%m-%d}" if date else "–"


def _dated(date: object) -> str:
    return f", {date:%Y-%m-%d}" if date else ""
