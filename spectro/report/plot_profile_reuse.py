"""What the old profile gets wrong on the new paper, region by region, and what each remedy leaves of it."""

from typing import TYPE_CHECKING

from spectro.records.paper_comparison import ProfileReuse
from spectro.report.plot_papers import FACES, MARKS
from spectro.report.style import HAIR, INK, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_profile_reuse(reuse: ProfileReuse) -> "Figure":
    """Draw a line each region, a mark each remedy, at its mean ΔE00."""
    rows = reuse.regions
    with figure_style():
        figure = new_figure(1.1 + 0.19 * len(rows))
        axes = figure.subplots()
        for place, row in enumerate(rows):
            known = [value for value in row.means if value is not None]
            axes.plot([min(known), max(known)], [place, place], color=HAIR, linewidth=3, solid_capstyle="butt", zorder=1)
        for index, remedy in enumerate(reuse.remedies):
            told = [(place, value) for place, row in enumerate(rows) if (value := row.means[index]) is not None]
            axes.plot(
                [value for _, value in told],
                [place for place, _ in told],
                linestyle="",
                marker=MARKS[index % len(MARKS)],
                markersize=4.8,
                markerfacecolor=FACES[index % len(FACES)],
                markeredgecolor=INK,
                markeredgewidth=0.7,
                label=remedy.name,
                clip_on=False,
                zorder=2,
            )
        axes.set_yticks(range(len(rows)), [row.name for row in rows])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        axes.set(ylim=(len(rows) - 0.5, -0.5), xlim=(0, None), xlabel="mean ΔE00")
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=2, frameon=False, handletextpad=0.2, columnspacing=1.2)
    return figure
