"""The grey ramp of a display against its aim."""

from typing import TYPE_CHECKING

from spectro.records.display_check import DisplayTones
from spectro.report.style import HAIR, INK, LINE, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_display_tones(tones: DisplayTones, limit: float) -> "Figure":
    """Draw ΔL* and the gamma of each step against the signal; what is within the limit (ΔL*) is shaded."""
    with figure_style():
        figure = new_figure(2.4)
        lightness, gamma = figure.subplots(1, 2)
        signal = [step.signal * 255 for step in tones.steps]
        lightness.axhspan(-limit, limit, color=HAIR, linewidth=0)
        lightness.axhline(0.0, color=LINE, linewidth=0.8)
        lightness.plot(
            signal, [step.delta_lightness for step in tones.steps], color=INK, linewidth=1.2, marker="o", markersize=3
        )
        reach = max(2 * limit, 1.15 * abs(tones.largest))
        lightness.set(ylabel="L* above the aim", ylim=(-reach, reach))
        known = [(step.signal * 255, step.gamma) for step in tones.steps if step.gamma == step.gamma]
        gamma.plot([at for at, _ in known], [value for _, value in known], color=INK, linewidth=1.2, marker="o", markersize=3)
        gamma.axhline(tones.gamma, color=LINE, linewidth=0.8, linestyle=(0, (4, 2)))
        values = [value for _, value in known] or [2.2]
        gamma.set(ylabel="gamma of the step", ylim=(min(1.6, *values) - 0.1, max(2.8, *values) + 0.1))
        for axes in (lightness, gamma):
            axes.set(xlabel="signal of 255", xlim=(0, 255), xticks=(0, 64, 128, 192, 255))
            ruled(axes)
    return figure
