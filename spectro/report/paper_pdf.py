"""The sheet of a paper as a PDF for archiving."""

from spectro.records.paper_sheet import PaperSheet
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_constancy import plot_constancy
from spectro.report.plot_paper_spectra import plot_paper_spectra
from spectro.report.plot_paper_tones import plot_paper_tones
from spectro.report.plot_wall_black import plot_wall_black
from spectro.words.tones import contrast_words


def paper_pdf(sheet: PaperSheet) -> bytes:
    """Return the sheet as PDF bytes, the same for the same input."""
    sections = [_paper(sheet), _light(sheet)]
    if sheet.tones is not None:
        sections.append(_tones(sheet))
    if sheet.constancy is not None:
        sections.append(_constancy(sheet))
    sections.append(PdfSection(heading="What to keep in mind", points=sheet.cautions))
    return pdf_report(f"Paper – {sheet.name}", sheet.verdict, f"{sheet.name} from {sheet.origin}", sections, footer=sheet.main)


def _paper(sheet: PaperSheet) -> PdfSection:
    papers = sheet.papers
    rows = (
        ("readings", *(str(paper.readings or "–") for paper in papers)),
        ("L* a* b*", *(" ".join(number(value, 1) for value in paper.lab) for paper in papers)),
        ("CIE whiteness", *(number(paper.whiteness, 1) + (" *" if paper.outside else "") for paper in papers)),
        ("CIE tint", *(number(paper.tint, 2) for paper in papers)),
        ("brightness R457, %", *(number(paper.brightness, 1) for paper in papers)),
        ("yellowness E313", *(number(paper.yellowness, 1) for paper in papers)),
        ("visual density", *(number(paper.density, 3) for paper in papers)),
    )
    note = (
        "L* a* b*: D50, 2° observer. Whiteness, tint, yellowness: D65, 10°; estimates, for the readings are 45°/0°. "
        "* outside the limits of the formula."
    )
    return PdfSection(
        heading="The paper itself",
        parts=(
            PdfTable(header=("read under", *(paper.condition for paper in papers)), rows=rows, note=note),
            PdfFigure(
                figure=plot_paper_spectra(sheet),
                title="Light sent back by the bare sheet",
                caption="Above 1 it sends back more than a perfect white could reflect: that is the brightener.",
            ),
        ),
    )


def _light(sheet: PaperSheet) -> PdfSection:
    match = sheet.light
    words = (
        f"Nearest to {match.light}: {match.nearest}. Its ultraviolet is {match.excitation:.2f} times that of D50. {match.basis}"
    )
    rows = tuple(
        (
            error.condition + ("" if error.measured else " (not read, estimated)"),
            *(number(value, 1) for value in (error.paper, error.mean, error.largest)),
        )
        for error in match.errors
    )
    header = ("profile made from", "paper off by", "mean of all colours", "largest")
    table = PdfTable(header=header, rows=rows, note=f"ΔE00 under {match.light}, 2° observer, absolute; estimates.")
    return PdfSection(
        heading=f"Which readings for your light, {match.light}?", paragraphs=(words,), parts=(table,) if rows else ()
    )


def _tones(sheet: PaperSheet) -> PdfSection:
    tones = sheet.tones
    if tones is None:
        return PdfSection(heading="")
    lab = " ".join(number(value, 1) for value in tones.black_lab)
    words = (
        f"Black L* a* b* {lab}, {tones.black_origin}, visual density {number(tones.black_density, 2)}; contrast "
        f"{contrast_words(tones.contrast, sheet.main, tones.contrast_origin)}, density range {number(tones.density_range, 2)}."
    )
    parts = []
    if len(tones.ramp_device):
        parts.append(
            PdfFigure(
                figure=plot_paper_tones(tones, tones.step_limit),
                title="First shadow and last highlight",
                caption=f"Where the ramp leaves black and paper by more than ΔE00 {tones.step_limit:g}, "
                f"from {tones.ramp_origin}.",
            )
        )
    if sheet.wall:
        parts.append(
            PdfFigure(
                figure=plot_wall_black(sheet.wall),
                title="The black on a wall",
                caption="A reading sees no reflection in the surface; a room adds one.",
            )
        )
    return PdfSection(heading="Black, shadows and highlights", paragraphs=(words,), parts=tuple(parts))


def _constancy(sheet: PaperSheet) -> PdfSection:
    found = sheet.constancy
    if found is None:
        return PdfSection(heading="")
    lights = tuple(found.rows[0].change)
    rows = tuple((row.name, *(number(row.change[light], 1) for light in lights)) for row in found.rows)
    note = f"ΔE00 of inconstancy against {found.reference}, {found.observer}° observer, {found.adaptation}; {found.condition}."
    return PdfSection(
        heading="From light to light",
        parts=(
            PdfTable(header=("printed colour", *lights), rows=rows, note=note),
            PdfFigure(
                figure=plot_constancy(found),
                title="How much printed colours seem to change",
                caption=f"To an adapted eye, when the light goes from {found.reference} to another.",
            ),
        ),
    )
