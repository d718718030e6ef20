"""Screen luminances beside the print's, on a scale of stops."""

import math
from typing import TYPE_CHECKING

from spectro.records.limits import Limits
from spectro.records.viewing_plan import PrintView
from spectro.report.style import HAIR, INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_screen_luminance(view: PrintView, limits: Limits) -> "Figure":
    """Draw a mark for each luminance at the stops by which prints look darker or lighter than such a screen.

    limits: those of viewing, for what is not seen and what is usual.
    """
    with figure_style():
        figure = new_figure(0.85 + 0.2 * len(view.rows))
        axes = figure.subplots()
        low, high = (
            value / view.luminance for value in (view.luminance - limits["not_seen"], view.luminance + limits["not_seen"])
        )
        if low > 0:
            axes.axvspan(_stops(low), _stops(high), color=HAIR, linewidth=0, zorder=0)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        for place, row in enumerate(view.rows):
            usual = limits["usual_low"] <= row.luminance <= limits["usual_high"]
            now = row.note == "this screen now"
            axes.plot([0, row.stops], [place, place], color=LINE, linewidth=1.0, zorder=1)
            axes.plot(
                row.stops,
                place,
                marker="s" if now else "o",
                markersize=5.5,
                color=INK,
                markerfacecolor=INK if usual or now else PAPER,
                markeredgewidth=0.9,
                clip_on=False,
            )
        axes.set_yticks(range(len(view.rows)), [f"{row.luminance:.0f} cd/m²" for row in view.rows])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        reach = max(1.0, *(abs(row.stops) for row in view.rows)) * 1.12
        axes.set(
            xlim=(-reach, reach),
            ylim=(len(view.rows) - 0.4, -0.8),
            xlabel="prints look lighter  ←  stops  →  prints look darker",
        )
        axes.text(0.0, -0.62, "print", color=QUIET, ha="center", va="center", backgroundcolor=PAPER, fontsize=7.5)
        ruled(axes, "x")
    return figure


def _stops(ratio: float) -> float:
    return math.log2(ratio)
