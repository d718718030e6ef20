"""Black and white in three figures: the tone curve, its tint along L*, and what to send."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.monochrome import LightNeutrality, MonochromePrint
from spectro.report.style import HAIR, INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_LEAST_SPAN = 4.0  # of an a* or b* axis, so that noise is not blown up
_DASHES: tuple[str | tuple[int, tuple[float, ...]], ...] = ("-", (0, (5, 2)), (0, (1.5, 1.5)), (0, (6, 1.5, 1.5, 1.5)))


def plot_tone_curve(found: MonochromePrint) -> "Figure":
    """Draw L* against the value sent: the fitted curve, the greys read, and the tones aimed at."""
    with figure_style():
        figure = new_figure(2.9)
        axes = figure.subplots()
        axes.plot(
            found.curve.wanted * 255, found.curve.lightness, color=LINE, linewidth=1.0, linestyle=(0, (4, 2)), label="aimed at"
        )
        axes.plot(found.ramp * 255, found.ramp_lab[:, 0], color=INK, linewidth=1.2, label="as printed")
        axes.plot(
            found.device * 255, found.lab[:, 0], "o", markersize=3.2, markerfacecolor=PAPER, markeredgecolor=INK,
            markeredgewidth=0.7, label="predicted" if found.predicted else "read",
        )  # fmt: skip
        for step, low in ((found.first_shadow, True), (found.last_highlight, False)):
            if step is not None:
                at = step.first_different * 255
                axes.axvline(at, color=LINE, linewidth=0.7)
                across, up = ("left", "top") if low else ("right", "bottom")
                axes.text(at, 97 if low else 3, f" {at:.0f} ", color=QUIET, ha=across, va=up)
        axes.set(xlabel=f"sent, of 255 ({found.sent})", ylabel="L*", xlim=(-3, 258), ylim=(0, 100))
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure


def plot_tint(found: MonochromePrint) -> "Figure":
    """Draw absolute a* and b* against L*: the fitted curves and the greys read."""
    lightness, word = found.ramp_lab[:, 0], "predicted" if found.predicted else "read"
    with figure_style():
        figure = new_figure(2.9)
        axes = figure.subplots()
        axes.axhline(0, color=LINE, linewidth=0.8)
        for axis, name, line, face, marker in ((1, "a*", "-", INK, "o"), (2, "b*", (0, (5, 2)), PAPER, "s")):
            axes.plot(lightness, found.ramp_lab[:, axis], linestyle=line, color=INK, linewidth=1.2, label=name)
            axes.plot(
                found.lab[:, 0], found.lab[:, axis], marker, markersize=3.2, markerfacecolor=face, markeredgecolor=INK,
                markeredgewidth=0.7, label=f"{name} {word}",
            )  # fmt: skip
        low, high = axes.get_ylim()
        if high - low < _LEAST_SPAN:
            axes.set_ylim((low + high - _LEAST_SPAN) / 2, (low + high + _LEAST_SPAN) / 2)
        axes.set(xlabel="L* of the print", ylabel="a*, b* (D50, absolute)", xlim=(0, 100))
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=4, frameon=False)
    return figure


def plot_neutrality(lights: tuple[LightNeutrality, ...], lightness: np.ndarray) -> "Figure":
    """Draw a* and b* relative to the paper against L*, a line each light."""
    with figure_style():
        figure = new_figure(3.4)
        upper, lower = figure.subplots(2, 1, sharex=True)
        reach = max(_LEAST_SPAN / 2, *(float(np.abs([one.a, one.b]).max()) for one in lights)) * 1.05
        for axes, name in ((upper, "a"), (lower, "b")):
            axes.axhspan(-1.5, 1.5, color=HAIR, linewidth=0)
            axes.axhline(0, color=LINE, linewidth=0.8)
            for one, dash in zip(lights, _DASHES, strict=False):
                axes.plot(lightness, getattr(one, name), linestyle=dash, color=INK, linewidth=1.1, label=one.light)
            axes.set(ylabel=f"{name}* relative to the paper", ylim=(-reach, reach))
        lower.set(xlabel="L* of the print under D50", xlim=(0, 100))
        figure.legend(*upper.get_legend_handles_labels(), loc="outside upper left", ncols=4, frameon=False)
    return figure


def plot_send(found: MonochromePrint) -> "Figure":
    """Draw the linearising curve: what to send for what is wanted."""
    with figure_style():
        figure = new_figure(2.9)
        axes = figure.subplots()
        axes.plot([0, 255], [0, 255], color=LINE, linewidth=0.8)
        for column, (name, dash) in enumerate(zip(found.curve.channels, _DASHES, strict=False)):
            axes.plot(
                found.curve.wanted * 255,
                found.curve.send[:, column] * 255,
                linestyle=dash,
                color=INK,
                linewidth=1.2,
                label=name,
            )
        axes.set(xlabel="wanted, of 255", ylabel="to send, of 255", xlim=(0, 255), ylim=(0, 255))
        ruled(axes)
        figure.legend(loc="outside upper left", ncols=3, frameon=False)
    return figure
