"""Which way the patches moved: in the plane of a* and b*, and in lightness."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.drift import DriftResult
from spectro.report.style import FIGURE_WIDTH_IN, INK, LINE, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_drift_direction(result: DriftResult) -> "Figure":
    """Draw each patch's change: on the left its a* and b*, on the right its L* against the lightness it had."""
    change = result.newest_lab - result.reference_lab
    reach = max(1.0, float(np.abs(change).max()) * 1.1)
    with figure_style():
        figure = new_figure(2.6, FIGURE_WIDTH_IN)
        left, right = figure.subplots(1, 2)
        for axes in (left, right):
            axes.axhline(0, color=LINE, linewidth=0.8)
        left.axvline(0, color=LINE, linewidth=0.8)
        left.plot(change[:, 1], change[:, 2], linestyle="", marker="o", markersize=2.6, color=INK, alpha=0.75)
        left.set(xlim=(-reach, reach), ylim=(-reach, reach), xlabel="Δa*  greener – redder", ylabel="Δb*  bluer – yellower")
        left.set_box_aspect(1)
        right.set_box_aspect(1)
        right.plot(result.reference_lab[:, 0], change[:, 0], linestyle="", marker="o", markersize=2.6, color=INK, alpha=0.75)
        right.set(xlim=(0, 100), ylim=(-reach, reach), xlabel="L* of the reference", ylabel="ΔL*  darker – lighter")
        ruled(left)
        ruled(right)
    return figure
