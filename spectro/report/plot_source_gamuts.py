"""How far the gamuts that pictures come from reach beyond a print: outlines of the fullest colours in a* and b*."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.render_sheet import RenderSheet
from spectro.report.style import HAIR, INK, QUIET, figure_style, grey_cross, new_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_LINES = (("-", INK), ((0, (5, 2)), INK), ((0, (1, 1.4)), INK), ((0, (5, 1.5, 1, 1.5)), QUIET))


def plot_source_gamuts(sheet: RenderSheet) -> "Figure":
    """Draw the print as a filled shape and every source gamut as a line around it."""
    with figure_style():
        figure = new_figure(4.6)
        axes = figure.subplots()
        grey_cross(axes)
        axes.fill(*sheet.print_outline.T, color=HAIR, label="the print", zorder=1)
        for (name, outline), (line, colour) in zip(sheet.source_outlines.items(), _LINES, strict=False):
            closed = np.concatenate([outline, outline[:1]])
            axes.plot(*closed.T, linestyle=line, color=colour, linewidth=1.1, label=name, zorder=2)
        axes.set_aspect("equal", adjustable="datalim")
        axes.set(xlabel="a*  greenish to reddish", ylabel="b*  bluish to yellowish")
        figure.legend(*axes.get_legend_handles_labels(), loc="outside upper left", ncols=5, frameon=False, columnspacing=1.2)
    return figure
