"""Pictures as documents: what was converted."""

from dataclasses import asdict
from typing import Any

from spectro.records.document import Document, Facts, Level, Points, Section, Shown, Verdict, Words
from spectro.records.image import Conversion
from spectro.words.image import NARROW, conversion_verdict, how_to_print, picture_facts


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
