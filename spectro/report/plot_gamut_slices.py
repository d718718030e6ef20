"""Two gamuts, cut: planes of one hue and its opposite, and slices of equal lightness."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from spectro.records.arrays import FloatArray
from spectro.records.paper_comparison import PaperFacts
from spectro.report.style import HAIR, INK, LINE, QUIET, SMALL_PT, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HUES = (0, 30, 60, 90, 120, 150)
LEVELS = (25, 50, 75)
_LINES: tuple[Any, ...] = ("-", (0, (4, 1.5)), (0, (1, 1.2)), (0, (6, 1.5, 1, 1.5)), (0, (2, 3)))
_SHADES = (INK, INK, QUIET, QUIET, LINE)


def line_style(place: int) -> dict[str, Any]:
    """Return how the line of the n-th paper is drawn: told apart by dashes and lightness."""
    return {"linestyle": _LINES[place % len(_LINES)], "color": _SHADES[place % len(_SHADES)], "linewidth": 1.2}


def plot_hue_slices(papers: Sequence[PaperFacts]) -> "Figure":
    """Draw lightness against chroma in six planes: one hue to the right, the opposite one to the left."""
    told = [paper for paper in papers if len(paper.reach)]
    with figure_style():
        figure = new_figure(4.3)
        grid = figure.subplots(3, 2, sharex=True, sharey=True)
        for axes, hue in zip(grid.ravel(), HUES, strict=True):
            for place, paper in enumerate(told):
                x, y = hue_outline(paper, hue)
                axes.plot(x, y, label=paper.name if hue == 0 else None, **line_style(place))
            axes.axvline(0, color=LINE, linewidth=0.6)
            axes.set(xlim=(-125, 125), ylim=(0, 102))
            axes.set_xticks([-100, -50, 0, 50, 100], ["100", "50", "0", "50", "100"])
            axes.set_yticks([0, 50, 100])
            axes.text(-122, 3, f"hue {hue + 180}°", ha="left", va="bottom", color=QUIET, fontsize=SMALL_PT)
            axes.text(122, 3, f"hue {hue}°", ha="right", va="bottom", color=QUIET, fontsize=SMALL_PT)
            ruled(axes)
        for axes in grid[-1]:
            axes.set_xlabel("chroma C*")
        for axes in grid[:, 0]:
            axes.set_ylabel("L*")
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure


def plot_lightness_slices(papers: Sequence[PaperFacts]) -> "Figure":
    """Draw a* against b* at three lightnesses."""
    told = [paper for paper in papers if len(paper.reach)]
    with figure_style():
        figure = new_figure(2.4)
        for axes, level in zip(figure.subplots(1, 3, sharex=True, sharey=True), LEVELS, strict=True):
            for place, paper in enumerate(told):
                _outline(axes, paper, level, place)
            axes.axvline(0, color=LINE, linewidth=0.6)
            axes.axhline(0, color=LINE, linewidth=0.6)
            axes.set(xlim=(-110, 110), ylim=(-110, 110), aspect="equal", xlabel="a*", title=f"L* {level}")
            axes.set_xticks([-100, 0, 100])
            axes.set_yticks([-100, 0, 100])
            ruled(axes)
            if level == LEVELS[0]:
                axes.set_ylabel("b*")
        figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=3, frameon=False)
    return figure


def hue_outline(paper: PaperFacts, hue: float) -> tuple[FloatArray, FloatArray]:
    """Return chroma, negative towards the opposite hue, and lightness of the outline in a plane of hue, from white to white."""
    columns = [int(np.argmin(np.abs(paper.hues - angle % 360))) for angle in (hue, hue + 180)]
    right, left = (paper.reach[:, column] for column in columns)
    used_right, used_left = np.flatnonzero(right > 0), np.flatnonzero(left > 0)
    x = np.concatenate([right[used_right][::-1], -left[used_left], right[used_right][-1:]])
    y = np.concatenate([paper.lightness[used_right][::-1], paper.lightness[used_left], paper.lightness[used_right][-1:]])
    return x, y


def _outline(axes: "Axes", paper: PaperFacts, level: float, place: int) -> None:
    row = paper.reach[int(np.argmin(np.abs(paper.lightness - level)))]
    angle = np.radians(np.append(paper.hues, paper.hues[0]))
    radius = np.append(row, row[0])
    axes.plot(radius * np.cos(angle), radius * np.sin(angle), label=paper.name, **line_style(place))
    if not row.any():
        axes.text(0, -100, f"{paper.name}: none", ha="center", color=HAIR)
