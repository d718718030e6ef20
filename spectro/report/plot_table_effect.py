"""What the tables do to pictures: curves of the neutral axis, and the chroma of full colours by hue."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.table_effect import IntentEffect, TableEffect
from spectro.report.style import HAIR, INK, LINE, QUIET, SMALL_PT, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHADOWS, HIGHLIGHTS = (0.0, 40.0), (85.0, 100.0)  # L* in of the two close-ups
_SAME = 0.3  # L*: curves nearer than this are one line on the page
_LINES = {"perceptual": ("-", INK, 1.3), "colorimetric": ((0, (5, 2)), INK, 1.1), "saturation": ((0, (1, 1.4)), QUIET, 1.6)}


def plot_neutral_axis(effect: TableEffect) -> "Figure":
    """Draw L* printed against L* in for each intent, whole and close up in shadows and highlights, with the print's black."""
    with figure_style():
        figure = new_figure(3.6)
        grid = figure.add_gridspec(2, 2, width_ratios=(5, 4))
        whole, low, high = (figure.add_subplot(place) for place in (grid[:, 0], grid[1, 1], grid[0, 1]))
        for axes, span in ((whole, (0.0, 100.0)), (low, SHADOWS), (high, HIGHLIGHTS)):
            ruled(axes)
            axes.plot(span, span, color=LINE, linewidth=0.8, label="unchanged")
            inside = (effect.lightness >= span[0]) & (effect.lightness <= span[1])
            for one, label in _told_apart(effect):
                line, colour, width = _LINES[one.intent]
                axes.plot(
                    effect.lightness[inside],
                    one.neutral_lab[inside, 0],
                    linestyle=line,
                    color=colour,
                    linewidth=width,
                    label=label,
                )
            axes.set(xlim=span, ylim=span if axes is high else (0, max(span[1], effect.black_lightness + 5)))
        for axes in (whole, low):
            axes.axhline(effect.black_lightness, color=QUIET, linewidth=0.7, linestyle=(0, (1, 3)))
        whole.text(
            99,
            effect.black_lightness - 1.5,
            f"black of the print L* {effect.black_lightness:.1f}",
            ha="right",
            va="top",
            color=QUIET,
            fontsize=SMALL_PT,
        )
        whole.set(xlabel="L* in the picture", ylabel="L* printed, paper = 100")
        low.set_title("shadows", loc="left", color=QUIET)
        high.set_title("highlights", loc="left", color=QUIET)
        figure.legend(*whole.get_legend_handles_labels(), loc="outside upper left", ncols=4, frameon=False, columnspacing=1.4)
    return figure


def _told_apart(effect: TableEffect) -> list[tuple[IntentEffect, str]]:
    """Return the intents whose curves can be told apart on paper, each with the names of those that lie on it."""
    shown: list[tuple[IntentEffect, str]] = []
    for one in effect.intents:
        for place, (other, label) in enumerate(shown):
            if np.abs(one.neutral_lab[:, 0] - other.neutral_lab[:, 0]).max() < _SAME:
                shown[place] = (other, f"{label}, {one.intent}")
                break
        else:
            shown.append((one, one.intent))
    return shown


def plot_chroma_kept(effect: TableEffect) -> "Figure":
    """Draw the chroma in and printed of the source gamut's full colours against hue, perceptual and colorimetric."""
    order = np.argsort(effect.hues, kind="stable")
    place = np.append(effect.hues[order], 360.0)
    with figure_style():
        figure = new_figure(3.1)
        axes = figure.subplots()
        ruled(axes)
        axes.fill_between(
            place, _chroma(effect.full_lab, order), color=HAIR, alpha=0.6, linewidth=0, label="in the source gamut"
        )
        for one in effect.intents:
            if one.intent != "saturation":
                _chroma_line(axes, place, one, _chroma(one.full_lab, order))
        axes.set(xlim=(0, 360), xlabel="hue angle of the colour in the picture", ylabel="chroma C*")
        axes.set_ylim(bottom=0)
        axes.set_xticks([0, 90, 180, 270, 360], ["0° reddish", "90° yellowish", "180° greenish", "270° bluish", "360°"])
        figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=3, frameon=False)
    return figure


def _chroma(lab: np.ndarray, order: np.ndarray) -> np.ndarray:
    chroma = np.hypot(lab[:, 1], lab[:, 2])[order]
    return np.append(chroma, chroma[0])


def _chroma_line(axes: "Axes", place: np.ndarray, one: IntentEffect, chroma: np.ndarray) -> None:
    line, colour, width = _LINES[one.intent]
    marker = "o" if one.intent == "perceptual" else "s"
    axes.plot(
        place,
        chroma,
        linestyle=line,
        color=colour,
        linewidth=width,
        marker=marker,
        markersize=3,
        markerfacecolor=colour if marker == "o" else "white",
        markeredgewidth=0.7,
        label=f"printed, {one.intent}",
    )
