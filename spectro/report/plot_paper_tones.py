"""The two ends of the grey ramp: where shadows leave black and highlights leave paper."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.records.print_tones import PrintTones, ToneStep
from spectro.report.style import INK, LINE, QUIET, figure_style, new_figure, ruled
from spectro.words.tones import place_number

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_REACH = 0.13  # of the ramp that is shown at each end
_HIGHEST = 12.0  # ΔE00


def plot_paper_tones(tones: PrintTones, threshold: float) -> "Figure":
    """Draw ΔE00 from black at the dark end and from paper at the light end, with the threshold."""
    with figure_style():
        figure = new_figure(2.1)
        dark, light = figure.subplots(1, 2, sharey=True)
        _end(dark, tones, 0, (0.0, _REACH), tones.first_shadow, threshold)
        _end(light, tones, -1, (1 - _REACH, 1.0), tones.last_highlight, threshold)
        dark.set(xlabel=f"from black, {_unit(tones)}", ylabel="ΔE00 from that end", ylim=(0, _HIGHEST))
        light.set(xlabel=f"to paper, {_unit(tones)}")
    return figure


def _unit(tones: PrintTones) -> str:
    return {"equal RGB": "RGB of 255", "grey": "grey of 255"}.get(tones.ramp_of, "black ink")


def _end(axes: "Axes", tones: PrintTones, end: int, span: tuple[float, float], step: ToneStep | None, threshold: float) -> None:
    shown = (tones.ramp_device >= span[0] - 0.02) & (tones.ramp_device <= span[1] + 0.02)
    difference = delta_e_2000(tones.ramp_lab[end], tones.ramp_lab)
    marker = "o" if int(shown.sum()) < 25 else ""
    axes.plot(tones.ramp_device[shown], difference[shown], color=INK, linewidth=1.2, marker=marker, markersize=3)
    axes.axhline(threshold, color=LINE, linewidth=0.8, linestyle=(0, (4, 2)))
    if step is not None and span[0] <= step.first_different <= span[1]:
        axes.axvline(step.first_different, color=LINE, linewidth=0.8)
        axes.text(
            step.first_different,
            _HIGHEST * 0.97,
            f" {place_number(tones.ramp_of, step.first_different)} ",
            ha="left" if end == 0 else "right",
            va="top",
            color=QUIET,
        )
    ticks = np.linspace(*span, 4)
    axes.set(xlim=span)
    axes.set_xticks(ticks, [place_number(tones.ramp_of, float(tick)) for tick in ticks])
    ruled(axes)
