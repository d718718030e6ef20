"""What readings hold as a PDF for archiving: the pages as they were read, doubts, repeats, and what the file says."""

from spectro.records.readings_sheet import DryingResult, ReadingsSheet, ReadingsShown
from spectro.report.number_words import number
from spectro.report.pdf_report import PdfFigure, PdfSection, PdfTable, pdf_report
from spectro.report.plot_readings_page import page_words, plot_readings_page
from spectro.report.reading_notes import grouped_notes

_WIDE = 0.95
_NAMED = 40  # patches not read that are named


def readings_pdf(shown: ReadingsShown) -> bytes:
    """Return the report as PDF bytes, the same for the same input."""
    sections: list[PdfSection] = []
    for sheet in shown.sheets:
        sections += _sheet(sheet, many=len(shown.sheets) > 1)
    if shown.drying is not None:
        sections.append(_drying(shown.drying))
    if shown.unread:
        table = PdfTable(header=("file", "why"), rows=shown.unread, words=(1,))
        sections.append(PdfSection(heading="Files that could not be read", parts=(table,)))
    name = shown.sheets[0].file if len(shown.sheets) == 1 else f"{len(shown.sheets)} files"
    subject = name
    if len(shown.sheets) == 1 and shown.sheets[0].description:
        subject = f"{shown.sheets[0].description} from {name}"
    return pdf_report(f"Readings – {name}", shown.verdict, subject, sections, footer="D50, 2° observer; absolute")


def _sheet(sheet: ReadingsSheet, *, many: bool) -> list[PdfSection]:
    prefix = f"{sheet.file}: " if many else ""
    pages = []
    for page in sheet.layout.pages:
        even = next((one for one in sheet.evenness if one.page == page), None)
        if even is None:
            words = "Too few repeats to say how even it is."
        elif even.certain:
            words = (
                f"Not even: ΔE00 {number(even.range_delta_e, 2)} between the two places that differ most, by {even.readings} "
                "repeats."
            )
        else:
            words = f"Even, as far as {even.readings} repeats tell."
        drawn = PdfFigure(
            figure=plot_readings_page(sheet, page),
            title=f"Page {page}",
            caption=f"{page_words(sheet, page)} {words}",
            width=_WIDE,
        )
        pages.append(drawn)
    found = tuple(f"{sentence} Offer: {offer}." for sentence, offer in grouped_notes(sheet.notes))
    nothing = () if found else ("Nothing: every strip fits its place." if sheet.expected_from else _UNHELD,)
    from_where = (f"Expected colours come from {sheet.expected_from}.",) if sheet.expected_from else ()
    sections = [
        PdfSection(heading=f"{prefix}In numbers", paragraphs=(sheet.verdict,) if many else (), parts=(_facts(sheet),)),
        PdfSection(heading=f"{prefix}The pages as they were read", parts=tuple(pages)),
        PdfSection(heading=f"{prefix}What looks misread", paragraphs=(*nothing, *from_where), points=found),
    ]
    if sheet.worst_repeats:
        table = PdfTable(
            header=("patch", "place", "ΔE00 from the mean of its repeats"),
            rows=tuple((one.patch, one.place or "not known", number(one.delta_e_2000, 2)) for one in sheet.worst_repeats),
            words=(1,),
        )
        sections.append(PdfSection(heading=f"{prefix}Repeats that differ most", parts=(table,)))
    return sections


_UNHELD = "Nothing could be held against these readings."


def _facts(sheet: ReadingsSheet) -> PdfTable:
    noise = "not known"
    if sheet.repeat_noise is not None:
        noise = f"ΔE00 {number(sheet.repeat_noise, 2)} of one reading in the mean, from {sheet.repeats} repeats"
    missing = ", ".join(sheet.missing[:_NAMED])
    if len(sheet.missing) > _NAMED:
        missing += f" and {len(sheet.missing) - _NAMED} more"
    rows = [
        ("readings", f"{sheet.patches}, of {sheet.recipes} different patches; {sheet.colour_space}"),
        ("measurement condition", f"{sheet.condition} (ISO 13655); backing {sheet.backing}"),
        ("repeat noise", noise),
        ("paper, L* a* b*", "" if sheet.paper_lab is None else _lab(sheet.paper_lab)),
        ("darkest, L* a* b*", _lab(sheet.black_lab)),
        (
            "spectra",
            f"{number(sheet.first_nm, 0)} to {number(sheet.last_nm, 0)} nm, every {number(sheet.step_nm, 0)} nm",
        ),
        ("chart", f"{sheet.chart_id}, {sheet.chart_patches} patches" if sheet.chart_id else ""),
        ("instrument", sheet.instrument),
        ("read", sheet.created),
        ("not read", missing),
        *((keyword.lower().replace("_", " "), value) for keyword, value in sheet.history),
    ]
    filled = tuple((name, value) for name, value in rows if value)
    return PdfTable(header=("", ""), rows=filled, words=(1,), shares=(0.26, 0.74))


def _lab(lab: tuple[float, float, float]) -> str:
    return " ".join(number(value, 1) for value in lab)


def _drying(drying: DryingResult) -> PdfSection:
    table = PdfTable(
        header=("from", "to", "patches", "change, ΔE00", "noise gives up to"),
        rows=tuple(
            (step.first, step.second, str(step.patches), number(step.change, 2), number(step.limit, 2)) for step in drying.steps
        ),
        note=f"Noise of one reading ΔE00 {number(drying.noise, 2)}, {drying.noise_from}.",
        words=(1,),
        shares=(0.27, 0.27, 0.12, 0.16, 0.18),
    )
    return PdfSection(heading="Drying", paragraphs=(drying.verdict,), parts=(table,))
