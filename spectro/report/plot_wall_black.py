"""The measured black as it looks on a wall, where the surface mirrors some of the room."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from spectro.records.paper_sheet import WallBlack
from spectro.report.style import INK, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_wall_black(rows: Sequence[WallBlack]) -> "Figure":
    """Draw L* of the black and the contrast it leaves, against the share of light that the surface mirrors."""
    with figure_style():
        figure = new_figure(2.1)
        lightness, contrast = figure.subplots(1, 2)
        share = [100 * row.reflected for row in rows]
        lightness.plot(share, [row.lightness for row in rows], color=INK, linewidth=1.2, marker="o", markersize=3)
        contrast.plot(share, [row.contrast for row in rows], color=INK, linewidth=1.2, marker="o", markersize=3)
        lightness.set(ylabel="L* of the black", ylim=(0, None))
        contrast.set(ylabel="contrast, paper : black", ylim=(1, None))
        for axes in (lightness, contrast):
            axes.set(xlabel="mirrored, % of the light", xlim=(-0.06, max(share) * 1.04))
            ruled(axes)
    return figure
