"""How much printed colours seem to change from light to light."""

from typing import TYPE_CHECKING

from spectro.records.paper_sheet import Constancy
from spectro.report.style import HAIR, INK, LINE, PAPER, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_MARKS = ("o", "s", "^", "D", "v", "P")
_FACES = (INK, PAPER, LINE, PAPER, INK, HAIR)


def plot_constancy(constancy: Constancy) -> "Figure":
    """Draw a line each colour, a mark each light, at its ΔE00 of inconstancy."""
    lights = list(constancy.rows[0].change)
    with figure_style():
        figure = new_figure(0.75 + 0.19 * len(constancy.rows))
        axes = figure.subplots()
        for place, light in enumerate(lights):
            axes.plot(
                [row.change[light] for row in constancy.rows],
                range(len(constancy.rows)),
                linestyle="",
                marker=_MARKS[place % len(_MARKS)],
                markersize=4.5,
                markerfacecolor=_FACES[place % len(_FACES)],
                markeredgecolor=INK,
                markeredgewidth=0.7,
                label=light,
                clip_on=False,
            )
        axes.set_yticks(range(len(constancy.rows)), [row.name for row in constancy.rows])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        axes.set(ylim=(len(constancy.rows) - 0.5, -0.5), xlim=(0, None), xlabel=f"ΔE00 against {constancy.reference}")
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=len(lights), frameon=False, handletextpad=0.2, columnspacing=1.2)
    return figure
