"""Pictures as documents: what was converted, what was found of them."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from spectro.records.document import Column, Document, Facts, Level, Points, Section, Shown, Table, Verdict, Words
from spectro.records.image import Conversion, Inspection
from spectro.words.image import (
    NARROW,
    conversion_verdict,
    how_to_print,
    inspected_facts,
    inspection_verdict,
    percent,
    picture_facts,
    short_findings,
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
