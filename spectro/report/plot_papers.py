"""Several papers in one figure: contrast on a wall, tone and greys, change from light to light."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from spectro.records.paper_comparison import PaperFacts
from spectro.report.plot_gamut_slices import line_style
from spectro.report.style import INK, LINE, PAPER, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MARKS = ("o", "s", "^", "D", "v")
FACES = (INK, PAPER, LINE, PAPER, INK)


def plot_wall_contrast(papers: Sequence[PaperFacts]) -> "Figure":
    """Draw the contrast of paper to black against the share of light that the surface mirrors."""
    with figure_style():
        figure = new_figure(2.4)
        axes = figure.subplots()
        for place, paper in enumerate(papers):
            shares = [100 * row.reflected for row in paper.wall]
            axes.plot(shares, [row.contrast for row in paper.wall], label=paper.name, **line_style(place))
        axes.set(xlabel="light mirrored by the surface, %", ylabel="contrast, paper : black", yscale="log", xlim=(0, None))
        ticks = [tick for tick in (10, 20, 50, 100, 200, 500) if _within(papers, tick)]
        axes.set_yticks(ticks, [str(tick) for tick in ticks])
        axes.minorticks_off()
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure


def _within(papers: Sequence[PaperFacts], tick: float) -> bool:
    values = [row.contrast for paper in papers for row in paper.wall]
    return 0.8 * min(values) <= tick <= 1.25 * max(values)


def plot_papers_tone(papers: Sequence[PaperFacts]) -> "Figure":
    """Draw lightness along the greys, and a* and b* along their lightness."""
    told = [paper for paper in papers if paper.ramp_of]
    with figure_style():
        figure = new_figure(2.6)
        tone, a, b = figure.subplots(1, 3)
        for place, paper in enumerate(told):
            style = line_style(place)
            tone.plot(paper.ramp_device, paper.ramp_lab[:, 0], label=paper.name, **style)
            a.plot(paper.ramp_lab[:, 0], paper.ramp_lab[:, 1], **style)
            b.plot(paper.ramp_lab[:, 0], paper.ramp_lab[:, 2], **style)
        tone.set(xlabel="from black to paper", ylabel="L*", xlim=(0, 1), ylim=(0, 100))
        tone.set_xticks([0, 0.5, 1], ["0", "0.5", "1"])
        for axes, name in ((a, "a*"), (b, "b*")):
            low, high = axes.get_ylim()
            axes.set(xlabel="L*", title=name, xlim=(0, 100), ylim=(min(low, -4), max(high, 4)))
            axes.axhline(0, color=LINE, linewidth=0.6)
        for axes in (tone, a, b):
            ruled(axes)
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure


def plot_papers_light(papers: Sequence[PaperFacts]) -> "Figure":
    """Draw how much paper, greys and memory colours change on average from light to light: a mark each paper."""
    told = [paper for paper in papers if paper.light_change]
    lights = list(told[0].light_change)
    with figure_style():
        figure = new_figure(0.9 + 0.28 * len(lights))
        axes = figure.subplots()
        for place, paper in enumerate(told):
            axes.plot(
                [paper.light_change[light] for light in lights],
                range(len(lights)),
                linestyle="",
                marker=MARKS[place % len(MARKS)],
                markersize=5.5,
                markerfacecolor=FACES[place % len(FACES)],
                markeredgecolor=INK,
                markeredgewidth=0.8,
                label=paper.name,
                clip_on=False,
            )
        axes.set_yticks(range(len(lights)), lights)
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        axes.set(ylim=(len(lights) - 0.5, -0.5), xlim=(0, None), xlabel="ΔE00 against D50, mean of the colours below")
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=3, frameon=False, handletextpad=0.2)
    return figure
