"""What the tables do to pictures, as parts of documents: figures and tables, and the same as plain values for JSON."""

from typing import Any

import numpy as np

from spectro.records.document import Beside, Column, FigureSpec, Heading, Section, Table, Words
from spectro.records.edge_effect import EdgeEffect
from spectro.records.table_effect import TableEffect
from spectro.words.numbers import number


def effect_section(effect: TableEffect, light: str) -> Section:
    """Return the section of an assessment that says what the tables do to pictures. light: and observer, in words."""
    missing = f" No table of its own: {', '.join(effect.missing)}." if effect.missing else ""
    smooth = tuple(
        (one.table, number(one.rms, 3), number(one.p99, 2), number(one.worst, 2), one.worst_place) for one in effect.smoothness
    )
    ramps = (f" · {one.ramps} ramps of {one.steps} steps" for one in effect.smoothness[:1])
    return Section(
        key="tables",
        heading="What the tables do to pictures",
        blocks=(
            Beside(blocks=effect_figures(effect, more=missing)),
            effect_table(effect, tint=True),
            Words(
                text="Leaves black from, as paper from: the lightness of the picture where the print is first 1 L* lighter "
                "than its darkest grey, and from which on it is within 1 L* of the paper. Tint: chroma C* of a printed grey "
                "against the paper."
            ),
            Heading(text="Smoothness"),
            Words(
                text="How much one step of a ramp differs from the next, in ΔE00; less is smoother. No published limit is "
                "known: compare the tables with each other. A table from colours to device values is followed by A2B1, whose "
                "own figure is the first row."
            ),
            Table(
                columns=(
                    Column(name="table"),
                    Column(name="all ramps (rms)"),
                    Column(name="99th percentile"),
                    Column(name="largest"),
                    Column(name="worst at", words=True),
                ),
                rows=smooth,
                label="smoothness of the tables",
            ),
            Words(text=f"media-relative · each table followed by A2B1 · {light}{''.join(ramps)}", role="conditions"),
        ),
    )


def edge_section(edges: EdgeEffect, said: str, light: str) -> Section:
    """Return the section of an assessment that says where a picture's black and its dark colours go.

    said: what that costs, in a sentence. light: and observer, in words.
    """
    rows = tuple(
        (
            one.intent,
            number(one.black, 1),
            number(one.above, 1),
            number(one.stops, 2),
            number(one.fall, 1),
            f"{one.falling} of {edges.ramps}",
            number(one.turn, 0),
        )
        for one in edges.intents
    )
    names = ("intent", "black prints at L*", "above the darkest", "stops lost", "largest fall of L*", "ramps that fall")
    return Section(
        key="blacks",
        heading="Blacks, and colours near them",
        blocks=(
            Words(text=said),
            Table(
                columns=tuple(Column(name=name) for name in (*names, "hue turns by, degrees")),
                rows=rows,
                label="where each intent sends black and dark colours",
            ),
            Words(
                text="A stop is a factor of two of luminance, of the range from the darkest colour to the paper. Along ramps "
                "from black to full colours of sRGB: a fall is how far a print gets darker where the picture gets lighter, and "
                "shows as a dark ring; it counts above L* 0.3. Hue (CAM16) turns by less than the last column in 99 of 100 "
                "colours."
            ),
            Words(text=f"media-relative · each table followed by A2B1 · {light}", role="conditions"),
        ),
    )


def effect_figures(effect: TableEffect, *, more: str = "") -> tuple[FigureSpec, ...]:
    """Return the two figures: greys and full colours. more: a sentence after the words of the first."""
    if not effect.intents:
        return ()
    blacks = ", ".join(f"{one.intent} from {one.neutral_lab[:, 0].min():.0f}" for one in effect.intents)
    kept = ", ".join(f"{one.intent} {mean_kept(effect, one.full_lab):.0f} %" for one in effect.intents)
    lightest = max(one.neutral_lab[:, 0].max() for one in effect.intents)
    return (
        FigureSpec(
            draw="plot_table_effect:plot_neutral_axis",
            data=(effect,),
            key="neutral",
            title="Greys: shadows and highlights",
            caption="Lightness printed for each lightness of a picture’s greys. Where a curve lies flat, shadows of different "
            f"depth print as one black; where it bows upwards instead, they are lifted and stay apart.{more}",
            label=f"Curves of lightness printed against lightness in the picture: {blacks} to {lightest:.0f}; black of the "
            f"print {effect.black_lightness:.0f}.",
        ),
        FigureSpec(
            draw="plot_table_effect:plot_chroma_kept",
            data=(effect,),
            key="chroma",
            title="Full colours: what is kept",
            caption=f"Chroma of the most colourful colours of {effect.source_gamut} in {len(effect.hues)} hues (grey) and what "
            "is printed of them. Where a line dips far below the grey, that colour turns out paler than on the screen.",
            label=f"Chroma of the most colourful source colours in {len(effect.hues)} hues, and how much is printed; "
            f"on average {kept}.",
        ),
    )


def effect_table(effect: TableEffect, *, tint: bool) -> Table:
    """Return a row an intent: where its curve lies, and what it keeps. tint: with the largest tint of greys."""
    names = ["intent", "darkest L*", "leaves black from", "L* 50 prints as", "as paper from"]
    keys = ["darkest", "leaves_black", "middle", "reaches_paper"]
    if tint:
        names, keys = [*names, "largest tint of greys"], [*keys, "tint"]
    rows = tuple(
        (row["intent"], *(number(row[key], 1) for key in keys), f"{number(row['chroma_kept'], 0)} %")
        for row in effect_rows(effect)
    )
    columns = tuple(Column(name=name) for name in (*names, "chroma kept"))
    return Table(columns=columns, rows=rows, label="what each intent does to greys and full colours")


def effect_rows(effect: TableEffect) -> list[dict[str, Any]]:
    """Return a row an intent: where its curve lies, and what it keeps of full colours."""
    return [
        {
            "intent": one.intent,
            "table": one.table,
            "darkest": float(one.neutral_lab[:, 0].min()),
            "leaves_black": one.leaves_black,
            "middle": float(np.interp(50.0, effect.lightness, one.neutral_lab[:, 0])),
            "reaches_paper": one.reaches_paper,
            "chroma_kept": mean_kept(effect, one.full_lab),
            "tint": float(np.hypot(one.neutral_lab[:, 1], one.neutral_lab[:, 2]).max()),
        }
        for one in effect.intents
    ]


def effect_numbers(effect: TableEffect) -> dict[str, Any]:
    """Return the whole record as plain values."""
    return {
        "source_gamut": effect.source_gamut,
        "black_lightness": effect.black_lightness,
        "missing": list(effect.missing),
        "summary": effect_rows(effect),
        "lightness_in": effect.lightness.tolist(),
        "neutral_lab_printed": {one.intent: one.neutral_lab.tolist() for one in effect.intents},
        "full_colours": {
            "hue_deg": effect.hues.tolist(),
            "lab_in": effect.full_lab.tolist(),
            "lab_printed": {one.intent: one.full_lab.tolist() for one in effect.intents},
        },
        "smoothness": [
            {
                "table": one.table,
                "rms": one.rms,
                "p99": one.p99,
                "worst": one.worst,
                "worst_place": one.worst_place,
                "ramps": one.ramps,
                "steps": one.steps,
            }
            for one in effect.smoothness
        ],
    }


def mean_kept(effect: TableEffect, printed: np.ndarray) -> float:
    """Return how much chroma full colours keep on average over the hues, per cent."""
    chroma = np.hypot(effect.full_lab[:, 1], effect.full_lab[:, 2])
    return float(100 * np.mean(np.hypot(printed[:, 1], printed[:, 2]) / np.maximum(chroma, 1e-9)))
