"""Ramps of inks with their limits, and linearisation curves."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.ink_stages import GreysFound, InkCurve, InkLimitFound, InkRamp
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DASHES: tuple[str | tuple[int, tuple[float, ...]], ...] = (
    "-", (0, (5, 2)), (0, (1.5, 1.5)), (0, (6, 1.5, 1.5, 1.5)), (0, (8, 2)), (0, (3, 1)), (0, (1, 3)), (0, (4, 4)),
)  # fmt: skip
_ACROSS = 4


def plot_ink_limits(ramps: tuple[InkRamp, ...], limits: tuple[InkLimitFound, ...]) -> "Figure":
    """Draw density and chroma of each ink against what is sent, with its limit."""
    down = -(-len(ramps) // _ACROSS)
    with figure_style():
        figure = new_figure(0.5 + 1.9 * down)
        axes = np.atleast_1d(figure.subplots(down, min(_ACROSS, len(ramps)), squeeze=False)).ravel()
        for place, ramp, limit in zip(axes, ramps, limits, strict=False):
            chroma = np.hypot(*(ramp.lab[:, 1:] - ramp.lab[0, 1:]).T)
            for values, face, name in ((ramp.density, INK, "density"), (chroma, PAPER, "chroma")):
                place.plot(
                    100 * ramp.sent, values / max(float(values.max()), 1e-9), "-o", color=INK, linewidth=0.8, markersize=2.4,
                    markerfacecolor=face, markeredgewidth=0.6, label=name if ramp is ramps[0] else None,
                )  # fmt: skip
            place.axvline(limit.percent, color=LINE, linewidth=1.0)
            place.text(limit.percent, 0.03, f"{limit.percent:.0f} % ", color=QUIET, ha="right", va="bottom")
            place.set(xlabel=f"{ramp.name}, % sent", xlim=(-3, 103), ylim=(-0.03, 1.08))
            ruled(place)
        for place in axes[len(ramps) :]:
            place.set_visible(False)
        axes[0].set_ylabel("share of the highest")
        figure.legend(loc="outside upper left", ncols=2, frameon=False)
    return figure


def plot_greys(greys: GreysFound) -> "Figure":
    """Draw L*, a* and b* of greys against their cyan: the aim, and prints without and with curves."""
    with figure_style():
        figure = new_figure(2.6)
        for place, axis, name in zip(figure.subplots(1, 3), range(3), ("L*", "a*", "b*"), strict=True):
            way = 100 * greys.wanted[:, 0]
            place.plot(way, greys.aim[:, axis], color=LINE, linewidth=2.2, label="aim" if axis == 0 else None)
            for printed, dash, label in ((greys.before, DASHES[1], "without"), (greys.after, DASHES[0], "with the curves")):
                place.plot(way, printed[:, axis], color=INK, linewidth=0.9, linestyle=dash, label=label if axis == 0 else None)
            place.set(xlabel="cyan, %", xlim=(0, 100))
            place.set_title(name, loc="left", color=QUIET)
            ruled(place)
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure


def plot_ink_curves(curves: tuple[InkCurve, ...]) -> "Figure":
    """Draw what to send of each ink for what is wanted."""
    with figure_style():
        figure = new_figure(3.4)
        axes = figure.subplots()
        axes.plot([0, 100], [0, 100], color=LINE, linewidth=0.8)
        for index, one in enumerate(curves):
            dash = DASHES[index % len(DASHES)]
            axes.plot(100 * one.wanted, 100 * one.send, color=INK, linewidth=1.1, linestyle=dash, label=one.ink)
        axes.set(xlabel="wanted, %", ylabel="sent, %", xlim=(0, 100), ylim=(0, 100), aspect="equal")
        ruled(axes)
        figure.legend(loc="outside right upper", frameon=False)
    return figure
