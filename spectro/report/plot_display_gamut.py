"""Primaries of a display and of its aim in the u'v' diagram."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.rgb_spaces import xyz_of_chromaticity
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayAim, DisplayGamut
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled
from spectro.standards.tables import observer_table

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_display_gamut(gamut: DisplayGamut, aim: DisplayAim) -> "Figure":
    """Draw the triangle of the display (line, marks) and of the aim (dashes) inside the line of pure colours."""
    observer = observer_table(2)
    pure = chromaticity_uv(observer.values[(observer.wavelengths >= 400) & (observer.wavelengths <= 700)])
    own = np.array([primary.uv for primary in gamut.primaries])
    wanted = chromaticity_uv(xyz_of_chromaticity(aim.primaries))
    with figure_style():
        figure = new_figure(3.6)
        axes = figure.subplots()
        axes.plot(*np.vstack([pure, pure[:1]]).T, color=LINE, linewidth=0.8)
        axes.plot(*np.vstack([wanted, wanted[:1]]).T, color=QUIET, linewidth=1.1, linestyle=(0, (4, 2)), label=aim.name)
        axes.plot(*np.vstack([own, own[:1]]).T, color=INK, linewidth=1.3, marker="o", markersize=4, label="display")
        for primary in gamut.primaries:
            axes.annotate(primary.name, primary.uv, (6, 4), textcoords="offset points", color=INK)
        for primary in gamut.secondaries:
            axes.plot(*primary.uv, marker="o", color=INK, markerfacecolor=PAPER, markersize=4)
        axes.set(xlabel="u'", ylabel="v'", xlim=(0, 0.65), ylim=(0, 0.62), aspect="equal")
        ruled(axes)
        axes.legend(loc="lower right", frameon=False, handlelength=3.2)
    return figure
