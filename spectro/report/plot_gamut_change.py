"""Where a new gamut reaches farther than the old one and where less far, by hue and lightness."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.paper_comparison import PaperFacts
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, new_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

GAIN, LOSS = "#d2d2d2", "#8a8a8a"
_LEVELS = (-40.0, -20.0, -10.0, -3.0, 3.0, 10.0, 20.0, 40.0)


def plot_gamut_change(old: PaperFacts, new: PaperFacts) -> "Figure":
    """Draw contours of the change of the largest chroma: light ground and full lines a gain, dark hatched and dashed a loss."""
    change = new.reach - old.reach
    hues = np.append(old.hues, 360.0)
    wrapped = np.concatenate([change, change[:, :1]], axis=1)
    with figure_style():
        figure = new_figure(3.3)
        axes, strip = figure.subplots(2, 1, height_ratios=(14, 1), sharex=True)
        axes.contourf(hues, old.lightness, wrapped, levels=[3.0, 500.0], colors=[GAIN])
        axes.contourf(hues, old.lightness, wrapped, levels=[-500.0, -3.0], colors=[LOSS], hatches=["////"])
        lines = axes.contour(
            hues,
            old.lightness,
            wrapped,
            levels=_LEVELS,
            colors=INK,
            linewidths=0.7,
            linestyles=["--" if level < 0 else "-" for level in _LEVELS],
        )
        labels = axes.clabel(lines, fmt=lambda value: f"{value:+.0f}".replace("-", "−"), fontsize=7.5, colors=INK)
        for label in labels or []:
            label.set_bbox({"facecolor": PAPER, "edgecolor": "none", "pad": 0.6})
        axes.set(ylim=(0, 100), ylabel="lightness L*", xlim=(0, 360))
        axes.set_title(f"light: {new.name} reaches farther · dark, hatched: {old.name} does", color=QUIET, loc="left")
        middle = np.arange(0.5, 360)
        lab = np.column_stack([np.full(360, 62.0), 45 * np.cos(np.radians(middle)), 45 * np.sin(np.radians(middle))])
        strip.imshow(lab_to_srgb(lab)[None], extent=(0, 360, 0, 1), aspect="auto")
        strip.set_yticks([])
        strip.set_xticks([0, 45, 90, 135, 180, 225, 270, 315, 360])
        strip.set_xlabel("hue angle, degrees (strip: about this hue)", color=QUIET)
        for spine in strip.spines.values():
            spine.set_color(LINE)
    return figure
