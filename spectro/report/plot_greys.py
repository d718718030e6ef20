"""The greys: what the profile says along equal device values, and what was measured of them."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.arrays import BoolArray
from spectro.records.assessment import Assessment
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_SAME = 1e-4  # device values nearer than this are equal: far below one step of 8 bits, above the rounding of files
_LEAST_SPAN = 4.0  # of the a*b* axis, so that noise is not blown up


def grey_patches(assessment: Assessment) -> BoolArray:
    """Return which patches (n,) have equal device values in every channel; none where there are more than three."""
    if assessment.device.ndim != 2 or assessment.device.shape[1] not in (1, 3):
        return np.zeros(len(assessment.sample_ids), dtype=np.bool_)
    return np.asarray(np.ptp(assessment.device, axis=1) < _SAME)


def plot_greys(assessment: Assessment) -> "Figure":
    """Draw a* and b*, and below them L*, against the device value: lines the profile, points the measured patches."""
    greys = grey_patches(assessment)
    value = assessment.device[greys].mean(axis=1) if greys.any() else np.zeros(0)
    measured = assessment.measured_lab[greys]
    ramp, said = assessment.grey_ramp_device, assessment.grey_ramp_lab
    with figure_style():
        figure = new_figure(4.4)
        upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(3, 2))
        upper.axhline(0, color=LINE, linewidth=0.6)
        for axis, name, line, face, marker in ((1, "a*", "-", INK, "o"), (2, "b*", "--", PAPER, "s")):
            if len(ramp):
                upper.plot(ramp, said[:, axis], line, color=INK, linewidth=1.1, label=f"{name} of the profile")
            if len(value):
                upper.plot(
                    value,
                    measured[:, axis],
                    marker,
                    markersize=3.6,
                    markerfacecolor=face,
                    markeredgecolor=INK,
                    markeredgewidth=0.7,
                    label=f"{name} measured",
                )
        if len(ramp):
            lower.plot(ramp, said[:, 0], "-", color=INK, linewidth=1.1, label="L* of the profile")
        if len(value):
            lower.plot(value, measured[:, 0], "o", markersize=3.2, color=INK, label="L* measured")
        _widen(upper)
        upper.set(ylabel="a*, b*")
        lower.set(xlabel="device value, equal in every channel", ylabel="L*", ylim=(0, 100), xlim=(-0.02, 1.02))
        if not len(ramp) and not len(value):
            upper.text(0.5, 0, "no greys in these readings", ha="center", va="bottom", color=QUIET)
        for axes in (upper, lower):
            ruled(axes)
        if upper.get_legend_handles_labels()[0]:
            figure.legend(*upper.get_legend_handles_labels(), loc="outside upper left", ncols=2, frameon=False)
    return figure


def _widen(axes: "Axes") -> None:
    """Keep the vertical axis at least as tall as the least span, around its middle."""
    low, high = axes.get_ylim()
    if high - low < _LEAST_SPAN:
        middle = (low + high) / 2
        axes.set_ylim(middle - _LEAST_SPAN / 2, middle + _LEAST_SPAN / 2)
