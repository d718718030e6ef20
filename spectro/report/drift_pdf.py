"""The drift report as a PDF for archiving: what the page says, with the same figures."""

from spectro.records.drift import ChartPoint, DriftResult
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_control_chart import plot_control_chart
from spectro.report.plot_drift_direction import plot_drift_direction
from spectro.words.drift import INKS_NOTE, cause_text, due_text, ink_text, trend_sentence
from spectro.words.numbers import day, number, probability

_WIDE = 0.9


def drift_pdf(result: DriftResult) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    newest = result.points[-1]
    dates = f"{newest.origin}, {day(newest.date)}, against {result.reference}, {day(result.reference_date)}"
    return pdf_report(
        f"Drift – {newest.origin} against {result.reference}",
        f"{result.verdict} {result.advice_words}",
        f"{dates}; {result.patches} patches",
        (_chart(result), _direction(result), _causes(result), _checks(result), _cautions(result)),
        footer=f"{result.light}; {result.measurement_condition}; absolute",
    )


def _chart(result: DriftResult) -> PdfSection:
    figure = PdfFigure(
        figure=plot_control_chart(result),
        title="Mean ΔE00 of each check from the reference",
        caption="The thin line reaches to the 95th percentile. A hollow mark lies beyond: above the limit of its day, or in a "
        f"pattern that noise and sheets do not make. {trend_sentence(result.trend)}".rstrip(),
        width=_WIDE,
    )
    parts: list[PdfFigure | PdfTable] = [figure]
    if result.events:
        rows = tuple((str(place), day(event.date), event.words) for place, event in enumerate(result.events, 1))
        parts.append(PdfTable(header=("no.", "date", "what was done"), rows=rows, words=(1, 2), shares=(0.08, 0.17, 0.75)))
    limits = (
        f"Individuals chart, limit 3 standard deviations: centre {number(result.centre, 2)}, upper {number(result.upper, 2)}; "
        f"from {result.limits_from}. {due_text(result)}"
    )
    return PdfSection(heading="The control chart", paragraphs=(limits,), parts=tuple(parts))


def _direction(result: DriftResult) -> PdfSection:
    figure = PdfFigure(
        figure=plot_drift_direction(result),
        title="Change of every patch",
        caption="On the left how its hue and chroma changed, on the right its lightness.",
        width=0.7,
    )
    regions = PdfTable(
        header=("patches", "ΔL*", "Δa*", "Δb*", "ΔE00", "in words"),
        rows=tuple(
            (
                f"{region.name} ({region.patches})",
                *(number(value, 2, sign=True) for value in (region.lightness, region.a, region.b)),
                number(region.delta_e_2000, 2),
                region.words,
            )
            for region in result.regions
        ),
        words=(5,),
        shares=(0.24, 0.11, 0.11, 0.11, 0.11, 0.32),
    )
    parts: list[PdfFigure | PdfTable] = [figure, regions]
    if result.inks:
        parts.append(
            PdfTable(
                header=("ink on the paper", "density", "± error", "in words"),
                rows=tuple(
                    (ink.name, f"{number(ink.percent, 1, sign=True)} %", f"{number(ink.error, 1)} %", ink_text(ink, result))
                    for ink in result.inks
                ),
                words=(3,),
                shares=(0.24, 0.16, 0.16, 0.44),
                note=INKS_NOTE,
            )
        )
    return PdfSection(heading="Which way it moved", parts=tuple(parts))


def _causes(result: DriftResult) -> PdfSection:
    words = []
    if not result.causes:
        words.append("Nothing that stands out of noise and sheets.")
    tile = result.tile
    if tile is not None:
        said = (
            f"the instrument moved. With that taken out the newest check differs by {number(tile.left, 2)}"
            if tile.moved
            else "the instrument is steady"
        )
        words.append(
            f"The tile (or anchors) changed by ΔE00 {number(tile.delta_e_2000, 2)}: {said} (limit {number(tile.limit, 2)})."
        )
    now, before = result.profile_difference, result.profile_before
    if now is not None and before is not None:
        words.append(
            f"Against the profile {result.profile}: ΔE00 {number(now.mean, 2)} in the mean, {number(now.p95, 2)} at the 95th "
            f"percentile; with the reference it was {number(before.mean, 2)} and {number(before.p95, 2)}."
        )
    if not result.causes:
        return PdfSection(heading="What moved", paragraphs=tuple(words))
    table = PdfTable(
        header=("cause", "probability among those thought of", "explains of the squared change"),
        rows=tuple(
            (cause_text(cause), probability(cause.share), f"{number(100 * cause.explains, 0)} %") for cause in result.causes
        ),
    )
    return PdfSection(heading="What moved", paragraphs=tuple(words), parts=(table,))


def _checks(result: DriftResult) -> PdfSection:
    table = PdfTable(
        header=("readings", "date", "mean", "95 %", "largest", "limit then", ""),
        rows=tuple(_check(point) for point in result.points),
        note="ΔE00 from the reference; percentiles by linear interpolation.",
        words=(1, 6),
        shares=(0.27, 0.13, 0.09, 0.09, 0.09, 0.11, 0.22),
    )
    return PdfSection(heading="All checks", parts=(table,))


def _check(point: ChartPoint) -> tuple[str, ...]:
    numbers = (point.difference.mean, point.difference.p95, point.difference.max, point.upper)
    said = (["beyond"] if point.beyond else []) + ([f"after {'; '.join(point.events)}"] if point.events else [])
    return (point.origin, day(point.date), *(number(value, 2) for value in numbers), "; ".join(said))


def _cautions(result: DriftResult) -> PdfSection:
    return PdfSection(heading="What to keep in mind", points=result.cautions)
