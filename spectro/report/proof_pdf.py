"""A proof page's result as a PDF for archiving."""

from spectro.records.proof_result import ProofResult
from spectro.report.number_words import number
from spectro.report.page_panels import page_panels
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_page import plot_page_errors
from spectro.report.plot_proof import arrow_factor, plot_proof_colours, plot_proof_greys, plot_proof_share
from spectro.report.proof_page import WAYS, common_rows, proof_rows

_PAGES = 4  # page pictures that are shown; more are in the HTML


def proof_pdf(result: ProofResult) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    assessed = result.assessment
    subject = (
        f"{result.next_step} {assessed.profile_name or assessed.profile_file}, proof page {result.chart_id}, {result.intent} "
        f"intent, {WAYS.get(result.way, result.way)}; read from {assessed.readings_origin}."
    )
    sections = [_numbers(result), _share(result), _colours(result), _known(result), _outside(result), _pages(result)]
    sections.append(PdfSection(heading="What to keep in mind", points=result.cautions))
    return pdf_report(
        f"Proof page – {assessed.profile_name or assessed.profile_file}",
        result.verdict,
        subject,
        sections,
        footer=f"{assessed.light}; {assessed.measurement_condition}; {result.intent}",
    )


def _numbers(result: ProofResult) -> PdfSection:
    rows = [
        (
            "all inside the gamut",
            str(result.within.n),
            *_three(result.within.mean, result.within.p95, result.within.max),
            "",
            "",
        )
    ]
    for group, aim in result.against_aim.items():
        said, given = result.against_forecast[group], result.forecast[group]
        rows.append((group, str(aim.n), *_three(aim.mean, aim.p95, aim.max), number(said.mean, 2), number(given.mean, 2)))
    header = ("group", "colours", "from aim: mean", "95th perc.", "largest", "from forecast", "forecast from aim")
    note = (
        "ΔE00; percentiles by linear interpolation; repeats averaged as reflectance. Colours outside the gamut cannot reach "
        "the aim: for them the forecast is what counts."
    )
    return PdfSection(heading="In numbers", parts=(PdfTable(header=header, rows=tuple(rows), note=note),))


def _three(*values: float) -> tuple[str, ...]:
    return tuple(number(value, 2) for value in values)


def _share(result: ProofResult) -> PdfSection:
    words: tuple[str, ...] = ()
    found = result.explanation
    if not result.proven:
        detail = f": {found.detail}" if found.detail else ""
        words = (
            f"Why it is not as forecast: {found.cause}{detail} ({found.sureness}). ΔE00 {found.before:.2f} in the mean from "
            f"the forecast, {found.after:.2f} with this in it.",
        )
    figure = PdfFigure(
        figure=plot_proof_share(result.share),
        title="What the difference from the aim is made of",
        caption=f"Mean ΔE00 of colours inside the gamut; the parts add up as squares. Repeat noise: {result.share.noise_from}.",
    )
    return PdfSection(heading="Expected and measured", paragraphs=words, parts=(figure,))


def _colours(result: ProofResult) -> PdfSection:
    factor = arrow_factor(result)
    drawn = "at their true length" if factor == 1 else f"drawn {factor} times as long"
    return PdfSection(
        heading="Where colours came out",
        parts=(
            PdfFigure(
                figure=plot_proof_colours(result),
                title="From what was asked for to the print",
                caption=f"Dots are aims inside the gamut, arrows lead to the print, {drawn}; rings are aims outside it.",
            ),
            PdfFigure(
                figure=plot_proof_greys(result),
                title="Greys, paper and black",
                caption="How far each came out from its aim; the grey line is the profile's forecast.",
            ),
        ),
    )


def _known(result: ProofResult) -> PdfSection:
    rows = tuple(
        (row["name"], row["place"], row["asked"], row["printed"], number(row["to_aim"], 2))
        for row in common_rows(proof_rows(result))
    )
    if not rows:
        return PdfSection(heading="Colours people know", paragraphs=("None of them was read.",))
    table = PdfTable(header=("colour", "place", "asked L* a* b*", "printed L* a* b*", "ΔE00"), rows=rows)
    return PdfSection(heading="Colours people know", parts=(table,))


def _outside(result: ProofResult) -> PdfSection:
    rows = tuple(
        (row["place"], row["asked"], row["forecast"], row["printed"], number(row["to_forecast"], 2))
        for row in proof_rows(result)
        if row["group"] == "outside"
    )
    if not rows:
        return PdfSection(heading="Outside the gamut", paragraphs=("None was read.",))
    table = PdfTable(header=("place", "asked L* a* b*", "forecast", "printed", "ΔE00 from the forecast"), rows=rows)
    return PdfSection(heading="Outside the gamut", parts=(table,))


def _pages(result: ProofResult) -> PdfSection:
    panels = page_panels(result.assessment)
    parts = tuple(
        PdfFigure(
            figure=plot_page_errors(result.assessment, panel),
            title="In file order" if panel.page is None else f"Page {panel.page}",
            caption=f"{len(panel.rows)} patches, the darker the larger the ΔE00 from the forecast; the worst are framed.",
        )
        for panel in panels[:_PAGES]
    )
    left = len(panels) - len(parts)
    words = (f"{left} more pages of patches are in the HTML report.",) if left > 0 else ()
    return PdfSection(heading="Differences on the page", paragraphs=words, parts=parts)
