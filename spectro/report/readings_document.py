"""What `readings add` and `readings show` say, as documents; and the picture of the pages as they were read."""

import io
from collections.abc import Iterator
from dataclasses import fields

from spectro.errors import InputError
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
    Points,
    Scripted,
    Section,
    Table,
    Verdict,
    Words,
)
from spectro.records.readings_result import ReadingNote, ReadingsResult
from spectro.records.readings_sheet import DryingResult, ReadingsSheet, ReadingsShown
from spectro.records.shown_text import text_bytes
from spectro.report.patch_view import patch_view_data
from spectro.report.plot_readings_page import page_words, plot_readings_pages
from spectro.report.sections import on_terminal
from spectro.words.even_pages import even_row
from spectro.words.numbers import lab_text, number, plain_lab
from spectro.words.reading_notes import grouped_notes, listed, of_strips
from spectro.words.readings import (
    MARKED,
    NOTHING_MISREAD,
    UNHELD,
    drying_words,
    even_phrase,
    even_words,
    expected_words,
    outlier_words,
    screen_words,
)

_ADDED_WIDTH, _SHOWN_WIDTH = 14, 17  # of the first column in the terminal
_MOST_OUTLIERS = 10
_NAMED = 40  # patches not read that a page names
_LIGHT = "D50, 2° observer; absolute"


def added_document(result: ReadingsResult) -> Document:
    """Return what was found, repaired and written; for the terminal and JSON alone."""
    chart = f"{result.chart}, {result.chart_patches} patches{f' ({result.chart_id})' if result.chart_id else ''}"
    expected = f"{result.expected_from}; a right reading is ΔE00 {result.expected_noise:.2f} off on average"
    rows = [
        ("chart", chart),
        *(("readings", f"{source.name}: {source.readings}, joined {source.joined}") for source in result.sources),
        ("condition", result.condition),
        ("expected from", expected),
    ]
    if result.repeat_noise is not None:
        rows.append(("repeat noise", f"ΔE00 {result.repeat_noise:.2f}, from repeats on the sheet"))
    rows += [*[(f"page {even.page}", even_phrase(even)) for even in result.evenness], *even_row(result.even)]
    blocks: list[Block] = []
    if result.merged is not None:
        rows.append(("repeats", f"{result.merged.sentence}{f' Kept: {result.merged.kept}.' if result.merged.kept else ''}"))
        blocks += [Words(text=f"    {outlier_words(outlier)}") for outlier in result.merged.outliers[:_MOST_OUTLIERS]]
    if result.missing:
        blocks.append(Facts(rows=(("not read", listed(result.missing)),), width=_ADDED_WIDTH))
    sections = [on_terminal("what", "", Facts(rows=tuple(rows), width=_ADDED_WIDTH), *blocks)]
    if result.repairs:
        sections.append(on_terminal("repairs", "Repaired, as asked:", Points(texts=result.repairs)))
    if result.notes:
        sections.append(on_terminal("found", "Found:", _notes(result.notes)))
    if result.cautions:
        sections.append(on_terminal("cautions", "Note:", Points(texts=result.cautions)))
    return Document(
        kind="readings-added",
        title=f"Readings – {result.chart}",
        verdict=Verdict(text=result.verdict, level=Level.GOOD if result.resolved else Level.FAULT),
        subject=", ".join(source.name for source in result.sources),
        sections=tuple(sections),
        data={field.name: getattr(result, field.name) for field in fields(result) if field.name != "measurements"},
    )


def shown_document(shown: ReadingsShown) -> Document:
    """Return what files of readings hold, page by page, and whether a print still changes."""
    many = len(shown.sheets) > 1
    sections: list[Section] = []
    for place, sheet in enumerate(shown.sheets, 1):
        sections += _told(sheet, place, many=many)
    if shown.unread:
        points = Points(texts=tuple(f"{name}: {why}" for name, why in shown.unread))
        sections.append(on_terminal("not-readings", "Not readings:", points))
    if shown.drying is not None:
        points = Points(texts=tuple(drying_words(shown.drying)))
        sections.append(on_terminal("changes", shown.drying.verdict if shown.sheets else "", points))
    if shown.cautions:
        sections.append(on_terminal("cautions", "Note:", Points(texts=shown.cautions)))
    if shown.picture:
        sections.append(on_terminal("picture", "", Words(text=f"Picture: {shown.picture}")))
    for place, sheet in enumerate(shown.sheets, 1):
        sections += _drawn(sheet, place, many=many)
    if shown.drying is not None:
        sections.append(_drying(shown.drying))
    if shown.unread:
        sections.append(Section(key="unread", heading="Files that could not be read", blocks=(Facts(rows=shown.unread),)))
    name = shown.sheets[0].file if len(shown.sheets) == 1 else f"{len(shown.sheets)} files"
    described = shown.sheets[0].description if len(shown.sheets) == 1 else ""
    left_out = {"measurements", "lab", "layout"}
    return Document(
        kind="readings",
        title=f"Readings – {name}",
        verdict=Verdict(text=shown.verdict, level=Level.FAULT if shown.faults else Level.GOOD),
        subject=f"{described} from {name}" if described else name,
        sections=tuple(sections),
        data={
            "verdict": shown.verdict,
            "sheets": [
                {field.name: getattr(sheet, field.name) for field in fields(sheet) if field.name not in left_out}
                for sheet in shown.sheets
            ],
            "unread": [{"file": file, "why": why} for file, why in shown.unread],
            "picture": shown.picture,
            "drying": shown.drying,
            "cautions": shown.cautions,
        },
        footer=_LIGHT,
    )


def readings_picture(shown: ReadingsShown, suffix: str) -> bytes:
    """Return the bytes of a .html, .pdf, .png or .svg picture of what was shown; the same bytes for the same input.

    Raises InputError where a picture of pages is asked for and there is not one file to draw.
    """
    if suffix == ".html":
        from spectro.report.render_html import render_html

        return text_bytes(render_html(shown_document(shown)))
    if suffix == ".pdf":
        from spectro.report.render_pdf import render_pdf

        return render_pdf(shown_document(shown))
    if len(shown.sheets) != 1:
        raise InputError(f"{len(shown.sheets)} files for {suffix}", "one file of readings", "Name one, or write .html or .pdf.")
    from spectro.report.style import RASTER_DPI, figure_style

    sheet = shown.sheets[0]
    said = {"Title": shown.verdict, "Description": " ".join(page_words(sheet, page) for page in sheet.layout.pages)}
    buffer = io.BytesIO()
    with figure_style("readings"):
        figure = plot_readings_pages(sheet)
        if suffix == ".png":
            figure.savefig(buffer, format="png", dpi=200, metadata={**said, "Software": None})
        else:
            figure.savefig(buffer, format="svg", dpi=RASTER_DPI, metadata={"Date": None, "Creator": None, **said})
    return buffer.getvalue()


def _notes(notes: tuple[ReadingNote, ...]) -> Points:
    return Points(texts=tuple(Cell(text=sentence, quiet=f"Offer: {offer}.") for sentence, offer in grouped_notes(notes)))


def _told(sheet: ReadingsSheet, place: int, *, many: bool) -> Iterator[Section]:
    """What the terminal says of one file."""
    layout = sheet.layout
    chart = f"{sheet.chart_id}, " if sheet.chart_id else ""
    places = f"{len(layout.pages)} page{'s' if len(layout.pages) > 1 else ''}, {len(layout.strips)} strips"
    rows = [
        ("readings", f"{sheet.patches}, of {sheet.recipes} different patches; {sheet.colour_space}"),
        ("chart", f"{chart}{sheet.chart_patches} patches, {places if len(layout.positions) else 'layout not known'}"),
        ("condition", f"{sheet.condition}, backing {sheet.backing}"),
        ("spectra", f"{sheet.first_nm:g} to {sheet.last_nm:g} nm in steps of {sheet.step_nm:g} nm"),
        ("instrument", sheet.instrument),
        ("read", sheet.created),
        ("printed", sheet.printed),
    ]
    if sheet.paper_lab:
        rows.append(("paper, black", f"Lab {plain_lab(sheet.paper_lab)}, {plain_lab(sheet.black_lab)} (D50, 2°)"))
    if sheet.repeat_noise is not None:
        rows.append(("repeat noise", f"ΔE00 {sheet.repeat_noise:.2f}, from {sheet.repeats} repeats"))
    rows += [*[(f"page {even.page}", even_phrase(even)) for even in sheet.evenness], *even_row(sheet.even)]
    for repeat in sheet.worst_repeats[:3]:
        where = f", {repeat.place}" if repeat.place else ""
        rows.append(("worst repeat", f"{repeat.patch}{where}: ΔE00 {repeat.delta_e_2000:.2f}"))
    rows.append(("not read", listed(sheet.missing)))
    rows += [(_plain_keyword(word), value) for word, value in sheet.history if word not in ("CHART_ID", "PRINTED")]
    rows.append(("compared with", sheet.expected_from))
    yield on_terminal(f"said-{place}", sheet.verdict if many else "", _filled(rows, width=_SHOWN_WIDTH))
    if sheet.notes:
        yield on_terminal(
            f"said-misread-{place}", "Looks misread:" if of_strips(sheet.notes) else "Found:", _notes(sheet.notes)
        )


def _drawn(sheet: ReadingsSheet, place: int, *, many: bool) -> Iterator[Section]:
    """What a page or a PDF shows of one file."""
    prefix = f"{sheet.file}: " if many else ""
    verdict = (Words(text=sheet.verdict),) if many else ()
    yield Section(key=f"numbers-{place}", heading=f"{prefix}In numbers", blocks=(*verdict, _key_numbers(sheet)))
    figures = tuple(_page(sheet, place, page) for page in sheet.layout.pages)
    yield Section(
        key=f"pages-{place}",
        heading=f"{prefix}The pages as they were read",
        blocks=(
            Words(text=screen_words(sheet)),
            Beside(blocks=figures),
            *(
                Scripted(script="patch_view.js", template="patch_view.html", data=patch_view_data(sheet, page))
                for page in sheet.layout.pages
            ),
            Words(text=f"{_LIGHT.replace(';', ' ·').replace(', ', ' · ')} · {sheet.condition} · {MARKED}", role="conditions"),
        ),
    )
    misread: list[Block] = (
        [_notes(sheet.notes)] if sheet.notes else [Words(text=NOTHING_MISREAD if sheet.expected_from else UNHELD)]
    )
    if sheet.expected_from:
        misread.append(Words(text=expected_words(sheet.expected_from), role="conditions"))
    yield Section(
        key=f"misread-{place}",
        heading=f"{prefix}What looks {'misread' if of_strips(sheet.notes) else 'wrong'}",
        blocks=tuple(misread),
    )
    if sheet.worst_repeats:
        table = Table(
            columns=(Column(name="patch"), Column(name="place", words=True), Column(name="ΔE00 from the mean of its repeats")),
            rows=tuple((one.patch, one.place or "not known", number(one.delta_e_2000, 2)) for one in sheet.worst_repeats),
            narrow=True,
        )
        yield Section(key=f"repeats-{place}", heading=f"{prefix}Repeats that differ most", blocks=(table,))
    yield Section(key=f"file-{place}", heading=f"{prefix}The file", blocks=(_facts(sheet),))


def _key_numbers(sheet: ReadingsSheet) -> KeyNumbers:
    unread = sheet.chart_patches - sheet.recipes if sheet.chart_patches > sheet.recipes else len(sheet.missing)
    more = f"; {unread} of the chart not read" if sheet.missing else ""
    noise = KeyNumber(
        label="repeat noise",
        value="not known",
        meaning="not stated while something looks misread" if sheet.notes else "too few patches stand on the chart twice",
        words=True,
    )
    if sheet.repeat_noise is not None:
        meaning = f"ΔE00 of one reading on average, from {sheet.repeats} repeats"
        noise = KeyNumber(label="repeat noise", value=number(sheet.repeat_noise, 2), meaning=meaning)
    ends = (("paper", sheet.paper_lab), ("darkest", sheet.black_lab))
    return KeyNumbers(
        items=(
            KeyNumber(label="readings", value=str(sheet.patches), meaning=f"{sheet.recipes} different patches{more}"),
            KeyNumber(
                label="measurement condition",
                value=sheet.condition,
                meaning=f"ISO 13655; backing {sheet.backing}",
                words=sheet.condition == "not stated",
            ),
            noise,
            *(
                KeyNumber(label=name, value=lab_text(lab), meaning="L* a* b*, D50, 2°", words=True, aside=True, swatch=lab)
                for name, lab in ends
                if lab is not None
            ),
        )
    )


def _page(sheet: ReadingsSheet, place: int, page: int) -> FigureSpec:
    even = next((one for one in sheet.evenness if one.page == page), None)
    words = page_words(sheet, page)
    return FigureSpec(
        draw="plot_readings_page:plot_readings_page",
        data=(sheet, page),
        key=f"r{place}p{page}",
        title=f"Page {page}",
        caption=even_words(even),
        label=words,
    )


def _facts(sheet: ReadingsSheet) -> Facts:
    missing = ", ".join(sheet.missing[:_NAMED])
    if len(sheet.missing) > _NAMED:
        missing += f" and {len(sheet.missing) - _NAMED} more"
    steps = f"{number(sheet.first_nm, 0)} to {number(sheet.last_nm, 0)} nm, every {number(sheet.step_nm, 0)} nm"
    return _filled(
        [
            ("file", sheet.file),
            ("says of itself", sheet.description),
            ("chart", f"{sheet.chart_id}, {sheet.chart_patches} patches" if sheet.chart_id else ""),
            ("spectra", steps),
            ("device values", sheet.colour_space),
            ("instrument", sheet.instrument),
            ("read", sheet.created),
            ("not read", missing),
            *((_plain_keyword(keyword), value) for keyword, value in sheet.history),
        ]
    )


def _filled(rows: list[tuple[str, str]], *, width: int = 0) -> Facts:
    return Facts(rows=tuple((name, value) for name, value in rows if value), width=width)


def _drying(drying: DryingResult) -> Section:
    table = Table(
        columns=(
            Column(name="from", words=True, share=0.27),
            Column(name="to", words=True, share=0.27),
            Column(name="patches", share=0.12),
            Column(name="change, ΔE00", share=0.16),
            Column(name="noise gives up to", share=0.18),
        ),
        rows=tuple(
            (step.first, step.second, str(step.patches), number(step.change, 2), number(step.limit, 2)) for step in drying.steps
        ),
        note=f"Noise of one reading ΔE00 {number(drying.noise, 2)}, {drying.noise_from}.",
        narrow=True,
    )
    return Section(key="drying", heading="Drying", blocks=(Words(text=drying.verdict), table))


def _plain_keyword(keyword: str) -> str:
    return keyword.lower().replace("_", " ")
