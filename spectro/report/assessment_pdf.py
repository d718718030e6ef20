"""The assessment of a profile as a PDF for archiving: what the page says, without its links and narrow layout."""

from spectro.records.assessment import Assessment
from spectro.records.statistics import DifferenceStatistics
from spectro.report.number_words import number
from spectro.report.page_panels import page_panels
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_error_budget import plot_error_budget
from spectro.report.plot_error_distribution import plot_error_distribution
from spectro.report.plot_greys import plot_greys
from spectro.report.plot_lightness_hue import plot_lightness_hue
from spectro.report.plot_page import plot_page_errors

_PAGES = 4  # page pictures that are shown; more are in the HTML


def assessment_pdf(assessment: Assessment) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    return pdf_report(
        f"Profile – {assessment.profile_name or assessment.profile_file}",
        assessment.verdict,
        f"{assessment.profile_name} ({assessment.profile_file}) against {assessment.readings_origin}",
        (_numbers(assessment), _budget(assessment), _where(assessment), _worst(assessment)),
        footer=f"{assessment.light}; {assessment.measurement_condition}; {assessment.intent}",
    )


def _row(name: str, statistics: DifferenceStatistics | None) -> tuple[str, ...]:
    if statistics is None:
        return (name, "no such patch", "–", "–", "–")
    return (
        name,
        str(statistics.n),
        *(number(value, 2) for value in (statistics.mean, statistics.p95, statistics.max)),
    )


def _numbers(assessment: Assessment) -> PdfSection:
    rows = [_row("all patches", assessment.delta_e_2000)]
    rows += [_row(name, group) for name, group in assessment.groups.items()]
    rows.append(_row("round trip of the tables", assessment.round_trip))
    note = (
        f"ΔE00; {assessment.light}; measurement condition {assessment.measurement_condition}; {assessment.intent} colorimetry; "
        "percentiles by linear interpolation. The round trip is about the tables, not about a print."
    )
    return PdfSection(
        heading="In numbers",
        parts=(PdfTable(header=("", "patches", "mean", "95th percentile", "largest"), rows=tuple(rows), note=note),),
    )


def _budget(assessment: Assessment) -> PdfSection:
    budget = assessment.budget
    figure = PdfFigure(
        figure=plot_error_budget(budget),
        title="Where the difference between a print and the profile's promise comes from",
        caption=f"ΔE00 in the mean; the parts add up as the root of the sum of squares: {number(budget.total, 2)}. "
        f"Repeat noise: {budget.repeat_noise_from or 'not known'}.",
    )
    return PdfSection(heading="Expected in print", parts=(figure,))


def _where(assessment: Assessment) -> PdfSection:
    panels = page_panels(assessment)
    pages = [
        PdfFigure(
            figure=plot_page_errors(assessment, panel),
            title="Errors in file order" if panel.page is None else f"Errors on page {panel.page}",
            caption=f"{len(panel.rows)} patches, the darker the larger the ΔE00; the worst are framed.",
        )
        for panel in panels[:_PAGES]
    ]
    figures = (
        PdfFigure(
            figure=plot_lightness_hue(assessment),
            title="Lightness and hue",
            caption="Every coloured patch at its hue angle and lightness; the larger the dot, the larger the error.",
        ),
        PdfFigure(
            figure=plot_greys(assessment),
            title="Greys",
            caption="Equal device values from darkest to paper: lines are the profile, points the measured patches.",
        ),
        PdfFigure(
            figure=plot_error_distribution(assessment),
            title="How many patches have which ΔE00",
            caption="Below, the share of patches under each value.",
        ),
    )
    left = len(panels) - len(pages)
    words = (f"{left} more pages of patches are in the HTML report.",) if left > 0 else ()
    return PdfSection(heading="Where the errors lie", paragraphs=words, parts=(*pages, *figures))


def _worst(assessment: Assessment) -> PdfSection:
    rows = tuple(
        (
            f"{patch.id}{f' ({patch.name})' if patch.name else ''}",
            "–" if patch.position is None else "page {}, row {}, column {}".format(*patch.position),
            _lab(patch.measured_lab),
            _lab(patch.profile_lab),
            number(patch.delta_e_2000, 2),
        )
        for patch in assessment.worst
    )
    if not rows:
        return PdfSection(heading="Worst patches", paragraphs=("No patch to list.",))
    return PdfSection(
        heading="Worst patches",
        parts=(PdfTable(header=("patch", "place", "measured L* a* b*", "profile L* a* b*", "ΔE00"), rows=rows),),
    )


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(number(value, 1) for value in lab)
