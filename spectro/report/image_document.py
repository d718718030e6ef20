"""Pictures as documents: what was converted, what was found of them."""

from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from spectro.files.png_file import pack_png
from spectro.files.tiff_directory import Directory
from spectro.records.arrays import AnyArray
from spectro.records.document import (
    Beside,
    Column,
    Document,
    Facts,
    Level,
    Picture,
    Points,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.image import Conversion, EditionState, Inspection, PictureStrip, Preview
from spectro.words.edition import edition_words
from spectro.words.image import (
    LINES_LEGEND,
    NARROW,
    SHADES,
    conversion_verdict,
    how_to_print,
    how_to_print_strip,
    inspected_facts,
    inspection_verdict,
    percent,
    picture_facts,
    proof_caption,
    short_findings,
    strip_verdict,
    strip_words,
    view_words,
)


def conversion_document(conversion: Conversion) -> Document:
    """Return what is said of converted pictures."""
    sections = [
        Section(
            key=f"picture-{number}",
            heading="",
            blocks=(Facts(rows=picture_facts(picture), width=NARROW),),
            shown=Shown.ALL,
        )
        for number, picture in enumerate(conversion.pictures, 1)
    ]
    if conversion.refused:
        texts = tuple(f"{one.reason}" for one in conversion.refused)
        sections.append(Section(key="refused", heading="Not converted:", blocks=(Points(texts=texts),), shown=Shown.ALL))
    if conversion.link:
        through = Facts(rows=(("device link", conversion.link),), width=NARROW)
        sections.append(Section(key="link", heading="", blocks=(through,), shown=Shown.ALL))
    if conversion.strip:
        facts = (("control strip", strip_words(conversion.strip)), ("its list", conversion.strip.written))
        sections.append(Section(key="strip", heading="", blocks=(Facts(rows=facts, width=NARROW),), shown=Shown.ALL))
    line = how_to_print(conversion)
    sections.append(Section(key="print", heading="", blocks=(Words(text=line, role="answer"),), shown=Shown.ALL))
    data: dict[str, Any] = {**asdict(conversion), "how_to_print": line}
    return Document(
        kind="conversion",
        title="Converted pictures",
        verdict=Verdict(text=conversion_verdict(conversion), level=Level.ATTENTION if conversion.refused else Level.GOOD),
        subject=conversion.profile,
        sections=tuple(sections),
        data=data,
    )


def with_edition(document: Document, state: EditionState) -> Document:
    """Return the document of a conversion that also says what was kept of an edition, and what has changed since."""
    blocks: tuple[Words | Points, ...] = (Words(text=edition_words(state)),)
    if state.changed or state.printer:
        blocks += (Points(texts=(*state.changed, *state.printer)),)
    section = Section(key="edition", heading="", blocks=blocks, shown=Shown.ALL)
    level = Level.ATTENTION if state.changed or state.moved else document.verdict.level
    *before, last = document.sections
    return replace(
        document,
        sections=(*before, section, last),
        verdict=replace(document.verdict, level=level),
        extra={**document.extra, "edition": asdict(state)},
    )


def inspection_document(inspection: Inspection) -> Document:
    """Return what was found of pictures: of one everything, of several a table first."""
    sections = []
    several = len(inspection.pictures) + len(inspection.refused) > 1
    if several:
        sections.append(Section(key="table", heading="", blocks=(_table(inspection),), shown=Shown.ALL))
    for number, picture in enumerate(inspection.pictures, 1):
        if several and not picture.findings:
            continue
        name = Path(picture.source).name if several else ""
        blocks = (Facts(rows=inspected_facts(picture), width=NARROW), Points(texts=picture.said))
        sections.append(Section(key=f"picture-{number}", heading=name, blocks=blocks, shown=Shown.ALL))
    if inspection.refused:
        texts = tuple(one.reason for one in inspection.refused)
        sections.append(Section(key="refused", heading="Not read:", blocks=(Points(texts=texts),), shown=Shown.ALL))
    faulty = inspection.refused or any(set(one.findings) - {"no-size"} for one in inspection.pictures)
    return Document(
        kind="inspection",
        title="Inspected pictures",
        verdict=Verdict(text=inspection_verdict(inspection), level=Level.ATTENTION if faulty else Level.GOOD),
        subject=inspection.profile,
        sections=tuple(sections),
        data=asdict(inspection),
    )


def strip_document(strip: PictureStrip) -> Document:
    """Return what is said of a test strip."""
    facts = (
        ("written", strip.written),
        ("from", strip.source),
        ("size", f"{strip.width} × {strip.height} pixels at {strip.pixels_per_inch:.0f} per inch"),
        *((f"row {number}", "; ".join(line)) for number, line in enumerate(strip.captions, 1)),
    )
    line = how_to_print_strip(strip)
    return Document(
        kind="test-strip",
        title="Test strip",
        verdict=Verdict(text=strip_verdict(strip), level=Level.GOOD),
        subject=strip.profile,
        sections=(
            Section(key="strip", heading="", blocks=(Facts(rows=facts, width=NARROW),), shown=Shown.ALL),
            Section(key="print", heading="", blocks=(Words(text=line, role="answer"),), shown=Shown.ALL),
        ),
        data={**asdict(strip), "how_to_print": line},
    )


def _table(inspection: Inspection) -> Table:
    rows = []
    for one in inspection.pictures:
        resolution = "" if one.pixels_per_inch is None else f"{one.pixels_per_inch:.0f}"
        outside = "" if one.in_print is None else percent(one.in_print.outside)
        kind = f"{one.space.upper()} {one.bits}"
        size = f"{one.width} × {one.height}"
        rows.append((Path(one.source).name, size, kind, resolution, outside, short_findings(one)))
    names = ("picture", "pixels", "kind", "per inch", "not printable", "found")
    columns = tuple(Column(name=name, words=name in ("picture", "kind", "found")) for name in names)
    return Table(columns=columns, rows=tuple(rows), label="pictures and what was found of them", empty="none")


def preview_document(preview: Preview) -> Document:
    """Return the page that shows a picture on papers and by intents, with the numbers that decide."""
    name = Path(preview.source).name
    original = Picture(
        png=_png(preview.original, preview), title="The picture", caption=preview.read_as + ".", label="the picture as it is"
    )
    shown = tuple(
        Picture(
            png=_png(one.pixels, preview),
            title=f"{one.numbers.paper}, {one.numbers.intent}",
            caption=proof_caption(one),
            label=f"the picture as printed on {one.numbers.paper}, {one.numbers.intent} intent",
        )
        for one in preview.proofs
    )
    levels = {one.numbers.paper: one for one in preview.proofs}
    lines = tuple(
        Picture(
            png=_png(one.lines, preview),
            title=paper,
            caption=LINES_LEGEND.format(
                ", ".join(f"{SHADES[limit]} above ΔE00 {limit:.0f} ({percent(share)})" for limit, share in one.levels)
            ),
            label=f"where the picture cannot be printed on {paper}",
        )
        for paper, one in levels.items()
    )
    sections = (
        Section(key="numbers", heading="The numbers that decide", blocks=(_numbers(preview),), shown=Shown.ALL),
        Section(
            key="proofs",
            heading="As it would be printed",
            blocks=(Words(text=view_words(preview)), Beside(blocks=(original, *shown))),
        ),
        Section(key="lines", heading="What cannot be printed", blocks=(Beside(blocks=lines),)),
    )
    return Document(
        kind="preview",
        title=f"{name} on paper",
        verdict=Verdict(text=preview.choice.words, level=Level.GOOD),
        subject=f"{name} · {preview.width} × {preview.height} pixels · {preview.read_as}",
        sections=sections,
        data=_preview_data(preview),
        footer=view_words(preview),
    )


def _png(pixels: AnyArray, preview: Preview) -> bytes:
    return pack_png(pixels, Directory(), preview.display_profile, ())


def _numbers(preview: Preview) -> Table:
    rows = []
    for one, (_, _, lost, _) in zip(preview.proofs, preview.choice.scores, strict=True):
        paper = one.numbers
        chroma = "; ".join(f"{name} C* −{by:.0f}" for name, _, by in paper.lost_chroma) or "none"
        rows.append(
            (
                f"{paper.paper}, {paper.intent}",
                percent(paper.outside),
                f"{paper.change_delta_e_2000:.1f}",
                percent(lost),
                percent(paper.blocked),
                percent(paper.blown),
                str(paper.first_shadow),
                chroma,
            )
        )
    names = ("paper, intent", "not printable", "ΔE00", "detail lost", "block", "vanish", "first shadow", "lost chroma")
    columns = tuple(Column(name=name, words=name in ("paper, intent", "lost chroma")) for name in names)
    return Table(columns=columns, rows=tuple(rows), label="papers and intents with the numbers that decide", cards=True)


def _preview_data(preview: Preview) -> dict[str, Any]:
    return {
        "source": preview.source,
        "written": preview.written,
        "width": preview.width,
        "height": preview.height,
        "read_as": preview.read_as,
        "display": preview.display,
        "view": asdict(preview.view),
        "papers": [
            {**asdict(one.numbers), "display_short": one.display_short, "white_lab": one.white_lab, "levels": one.levels}
            for one in preview.proofs
        ],
        "choice": asdict(preview.choice),
    }
