"""The answer of a path test as a PDF for archiving."""

from spectro.checks.path_words import finding_words
from spectro.records.path_test import PathFinding, PathTest
from spectro.report.number_words import number
from spectro.report.path_test_page import shown_rows
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_colour_rows import plot_colour_rows
from spectro.report.plot_print_paths import plot_path_greys, plot_reach

_WIDE = 0.62


def path_test_pdf(result: PathTest, light: str = "D50, 2° observer") -> bytes:
    """Return the report as PDF bytes, the same for the same input. light: what the colours were computed for."""
    count = len(result.findings)
    held = f", held against {result.reference}" if result.reference else ""
    shown = shown_rows(result)
    colours = PdfFigure(
        figure=plot_colour_rows([(one.name, lab[shown]) for one, lab in zip(result.findings, result.lab, strict=True)]),
        title="The same device values as each path printed them",
        caption="Full colours, greys from paper to black, and three mid-tones.",
        width=_WIDE,
    )
    sections = [
        PdfSection(
            heading="What each path does",
            parts=(colours,),
            points=tuple(_path(found, result.reference) for found in result.findings),
        ),
        PdfSection(
            heading="Colours and greys",
            parts=(
                PdfFigure(
                    figure=plot_reach(result),
                    title="The colours each path reaches",
                    caption="Outlines join the six full colours, marks inside are the mid-tones in their own colour. A "
                    "conversion pulls the outline in; an enhancement keeps it and pushes the mid-tones out.",
                    width=_WIDE,
                ),
                PdfFigure(
                    figure=plot_path_greys(result),
                    title="The greys",
                    caption="Lightness of equal device values. A line above another prints lighter.",
                    width=_WIDE,
                ),
            ),
        ),
    ]
    if count > 1:
        sections.append(_differences(result))
    sections.append(PdfSection(heading="What to keep in mind", points=result.cautions))
    return pdf_report(
        "Path test",
        f"{result.verdict} {result.next_step}",
        f"Path test of {count} print{'s' * (count != 1)}{held}",
        sections,
        footer=f"{light}; {result.condition}; absolute",
    )


def _path(found: PathFinding, reference: str) -> str:
    told = [f"{found.name} – {finding_words(found)}.", *found.reasons]
    if found.from_reference is not None:
        told.append(f"ΔE00 {number(found.from_reference, 1)} from {reference}.")
    return " ".join([*told, f"({found.origin})"])


def _differences(result: PathTest) -> PdfSection:
    names = tuple(found.name for found in result.findings)
    rows = tuple(
        (name, *("–" if other == path else number(float(value), 1) for other, value in enumerate(result.differences[path])))
        for path, name in enumerate(names)
    )
    note = (
        f"Mean ΔE00. Up to {number(result.same_limit, 1)} two prints count as the same: two sheets of one path differ by about "
        "as much (no source)."
    )
    return PdfSection(heading="How far apart the prints are", parts=(PdfTable(header=("", *names), rows=rows, note=note),))
