"""A document with every kind of block, for the tests of its renderings. Invented throughout."""

import numpy as np

from spectro.records.document import (
    Beside,
    Cell,
    Column,
    Document,
    Facts,
    FigureSpec,
    Folded,
    Heading,
    KeyNumber,
    KeyNumbers,
    Level,
    Picture,
    Points,
    Scripted,
    Section,
    Shades,
    Shown,
    Table,
    Verdict,
    Words,
)

PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d49444154789c63606060f80f0001040100"
    "5fe5c34b0000000049454e44ae426082"
)


def every_block(figure=None) -> Document:
    """A document that holds each kind of block once, with texts that must be escaped."""
    figures = () if figure is None else (Beside(blocks=(figure,), single=True),)
    return Document(
        kind="invented",
        title="Title & <more>",
        verdict=Verdict(text="Fine: ΔE00 0.30 <b>.", level=Level.GOOD, advice="Nothing to do.", next="spectro drift"),
        subject="from file-1.txt, 2026-01-31",
        footer="D50, 2° observer",
        data={"verdict": "Fine: ΔE00 0.30 <b>.", "values": np.array([0.5, np.nan]), "format": 7},
        format=2,
        sections=(
            Section(
                key="short",
                heading="",
                shown=Shown.TEXT,
                blocks=(Facts(rows=(("name", "value"), ("a longer name", Cell(text="other", quiet="(quiet)")))),),
            ),
            Section(
                key="numbers",
                heading="The numbers",
                blocks=(
                    KeyNumbers(
                        items=(KeyNumber(label="mean", value="0.30", meaning="of 12 patches", swatch=(50.0, 0.0, 0.0)),)
                    ),
                    Words(text="Held under D50.", role="conditions"),
                    *figures,
                ),
            ),
            Section(
                key="tables",
                heading="Tables & lists",
                shown=Shown.ALL,
                blocks=(
                    Heading(text="Inner heading"),
                    Table(
                        columns=(Column(name="colour"), Column(name="ΔE00"), Column(name="said", words=True)),
                        rows=(
                            (Cell(text="red", swatches=((50.0, 60.0, 40.0),)), "1.50", "plain"),
                            ("grün < blau", "−0.25", ""),
                        ),
                        note="Percentiles: linear interpolation.",
                        strong=(1,),
                    ),
                    Table(columns=(Column(name="nothing"),), rows=(), empty="None was read."),
                    Points(texts=("first point", "second point"), ordered=True),
                    Shades(label="shades", steps=(("#ff0000", "below 1", 3),)),
                ),
            ),
            Section(
                key="screen",
                heading="Screen",
                shown=Shown.HTML,
                blocks=(
                    Picture(png=PIXEL, title="A picture", caption="One pixel.", label="a pixel"),
                    Folded(summary="All steps", blocks=(Words(text="hidden words"),)),
                    Scripted(script="gamut_view.js", template="gamut_view.html", data='{"name": "</script><b>"}'),
                ),
            ),
        ),
    )


def figure_spec(draw: str) -> FigureSpec:
    """A figure to be drawn by a function of the report room."""
    return FigureSpec(
        draw=draw, data=(), key="one", title="Figure title", caption="Figure caption.", label="A line.", note="N."
    )
