"""The part of a page that says what the tables do to pictures: figures and rows, and the same as plain values for JSON."""

from typing import Any

import numpy as np

from spectro.records.table_effect import TableEffect
from spectro.report.inline_svg import inline_svg
from spectro.report.plot_table_effect import plot_chroma_kept, plot_neutral_axis


def effect_figures(effect: TableEffect) -> dict[str, str]:
    """Return the two figures as SVG, by name."""
    blacks = ", ".join(f"{one.intent} from {one.neutral_lab[:, 0].min():.0f}" for one in effect.intents)
    kept = ", ".join(f"{one.intent} {mean_kept(effect, one.full_lab):.0f} %" for one in effect.intents)
    return {
        "neutral": inline_svg(
            plot_neutral_axis(effect),
            "neutral",
            f"Curves of lightness printed against lightness in the picture: {blacks} to "
            f"{max(one.neutral_lab[:, 0].max() for one in effect.intents):.0f}; black of the print "
            f"{effect.black_lightness:.0f}.",
        ),
        "chroma": inline_svg(
            plot_chroma_kept(effect),
            "chroma",
            f"Chroma of the most colourful source colours in {len(effect.hues)} hues, and how much is printed; "
            f"in the mean {kept}.",
        ),
    }


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
    """Return how much chroma full colours keep in the mean over the hues, per cent."""
    chroma = np.hypot(effect.full_lab[:, 1], effect.full_lab[:, 2])
    return float(100 * np.mean(np.hypot(printed[:, 1], printed[:, 2]) / np.maximum(chroma, 1e-9)))
