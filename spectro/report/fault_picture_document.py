"""The sheet of a test picture: the picture with its numbers, and a row for each field."""

from dataclasses import asdict

from spectro.files.png_file import pack_png
from spectro.files.tiff_directory import Directory
from spectro.records.document import (
    Cell,
    Column,
    Document,
    Facts,
    Level,
    Picture,
    Section,
    Shown,
    Table,
    Verdict,
    Words,
)
from spectro.records.image import DrawnTestPicture
from spectro.words.test_picture import BEFORE, LOOK, MEASURED, picture_verdict


def fault_picture_document(made: DrawnTestPicture) -> Document:
    """Return what the sheet says, and the terminal in short."""
    facts = (
        ("folder", made.folder),
        ("picture", f"{made.files[0]}, {made.width} × {made.height} pixels at {made.pixels_per_inch} per inch, opRGB, 16 bits"),
        ("sheet", f"{made.files[1]}: where to look, and what each fault means"),
        *((("patches", f"{made.patches}, listed in {made.files[2]}"),) if made.patches else ()),
    )
    rows = []
    for field in made.fields:
        if field.number:
            where, right, wrong = LOOK[field.key]
            rows.append((Cell(lead=str(field.number), text=field.name), where, right, " ".join(wrong)))
    columns = tuple(
        Column(name=name, words=True, share=share)
        for name, share in (("field", 0.14), ("look at", 0.2), ("right", 0.26), ("wrong, and why", 0.4))
    )
    shown = Picture(
        png=pack_png(made.small, Directory(), b"", ()),
        title="",
        caption="As a screen shows it; full colours look paler here than in a good print.",
        label="the test picture with its numbered fields",
    )
    measured = (Words(text=MEASURED),) if made.patches else ()
    sections = (
        Section(key="made", heading="", blocks=(Facts(rows=facts),), shown=Shown.TEXT),
        Section(key="picture", heading="The picture", blocks=(shown,)),
        Section(
            key="look",
            heading="Where to look",
            blocks=(
                Words(text=BEFORE),
                Table(columns=columns, rows=tuple(rows), label="fields and what to look for", cards=True),
                *measured,
            ),
        ),
    )
    data = asdict(made)
    del data["small"]
    return Document(
        kind="test-picture",
        title="Test picture",
        verdict=Verdict(text=picture_verdict(made), level=Level.GOOD),
        subject=f"{made.files[0]} · opRGB (IEC 61966-2-5), 16 bits · {made.pixels_per_inch} pixels per inch",
        sections=sections,
        data=data,
        sheet=True,
    )
