"""How the errors are spread: how many patches have which ΔE00, and which share lies below."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.assessment import Assessment
from spectro.report.error_steps import hexadecimal, step_colours, step_of
from spectro.report.style import INK, LINE, QUIET, SMALL_PT, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_NICE = (0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0)


def bin_width(largest: float) -> float:
    """Return the width of the bars for an axis to largest: at most 50 bars, and no bar across two shades up to 1.

    >>> bin_width(0.9), bin_width(2.4), bin_width(7.0)
    (0.02, 0.05, 0.25)
    """
    return next((width for width in _NICE if largest / width <= 50), float(np.ceil(largest / 50)))


def plot_error_distribution(assessment: Assessment) -> "Figure":
    """Draw bars of how many patches have which ΔE00 and the share below, with the mean and the 95th percentile marked.

    Where a few patches lie far out, the axis ends at five times the 95th percentile and says how many lie beyond.
    """
    delta_e = assessment.delta_e[np.isfinite(assessment.delta_e)]
    statistics = assessment.delta_e_2000
    largest = float(delta_e.max()) if len(delta_e) else 0.0
    p95 = statistics.p95 if np.isfinite(statistics.p95) else largest
    end = max(0.5, min(largest * 1.03, max(5 * p95, 1.0)))
    width = bin_width(end)
    edges = np.arange(0.0, end + width, width)
    end = float(edges[-1])
    beyond = int((delta_e > end).sum())
    counts, _ = np.histogram(delta_e, bins=edges)
    colours = [hexadecimal(step_colours()[step]) for step in step_of(edges[:-1] + width / 2)]
    with figure_style():
        figure = new_figure(3.6)
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(3, 2))
        upper.bar(edges[:-1], counts, width=width, align="edge", color=colours, edgecolor=QUIET, linewidth=0.35)
        upper.set(ylabel="patches", ylim=(0, max(1.0, float(counts.max()) * 1.06)))
        order = np.sort(delta_e)
        share = np.arange(1, len(order) + 1) / max(1, len(order)) * 100
        lower.step(np.r_[0.0, order], np.r_[0.0, share], where="post", color=INK, linewidth=1.1, label="share")
        lower.set(ylabel="share below, %", xlabel="ΔE00", xlim=(0, end), ylim=(0, 103), yticks=(0, 50, 95))
        marks = (("95th percentile", statistics.p95, "--", 1.02), ("mean", statistics.mean, "-", 1.11))
        for name, value, line, height in marks:
            if not np.isfinite(value):
                continue
            upper.plot(
                [value, value],
                [0, height + 0.05],
                line,
                color=INK,
                linewidth=0.9,
                label=name,
                transform=upper.get_xaxis_transform(),
                clip_on=False,
            )
            late = value > 0.7 * end  # no room for the words to the right
            lower.axvline(value, color=INK, linewidth=0.9, linestyle=line)
            upper.text(
                value + (-0.008 if late else 0.008) * end,
                height,
                f"{name} {value:.2f}",
                transform=upper.get_xaxis_transform(),
                ha="right" if late else "left",
                va="bottom",
                fontsize=SMALL_PT,
                color=INK,
            )
        if beyond:
            upper.text(
                0.995,
                0.5,
                f"{beyond} further out,\nto {largest:.1f} →",
                transform=upper.transAxes,
                ha="right",
                va="center",
                fontsize=SMALL_PT,
                color=QUIET,
            )
        for axes in (upper, lower):
            ruled(axes, "y")
            axes.spines["left"].set_color(LINE)
    return figure
