"""The figures of an assessment: expected error, its spread, greys, lightness and hue, and which way colours move."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike, BoolArray, FloatArray, IntArray, frozen_floats, frozen_integers
from spectro.records.assessment import Assessment, ErrorBudget
from spectro.report.error_steps import hexadecimal, step_colours, step_of
from spectro.report.style import HAIR, INK, LINE, PAPER, QUIET, SMALL_PT, figure_style, grey_cross, new_figure, ruled
from spectro.report.worst_patches import worst_rows

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NOT_TOLD = "not known from these readings"
_NICE = (0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.0)
_SAME = 1e-4  # device values nearer than this are equal: far below one step of 8 bits, above the rounding of files
_LEAST_SPAN = 4.0  # of the a*b* axis, so that noise is not blown up
LEAST_CHROMA = 5.0  # common practice, no source: below this the hue of a print is noise
_LARGEST = 5.0  # ΔE00 from which dots grow no more
_LEGEND = (0.5, 1.0, 2.0, 5.0)
CELL = 10.0  # side of a bin in a* and b*
_SINGLE = 60  # with so few patches each has its own arrow
_FACTORS = (100, 50, 20, 10, 5, 2, 1)


def plot_error_budget(budget: ErrorBudget) -> "Figure":
    """Draw a bar for each part that is known and for their total; the others say that they cannot be told."""
    parts = (
        ("repeat noise", budget.repeat_noise, LINE),
        ("model", budget.model, LINE),
        ("table", budget.table, LINE),
        ("another sheet", budget.sheet, LINE),
        ("together", budget.total, INK),
    )
    return bars_of_parts(parts, 1.45)


def bars_of_parts(parts: Sequence[tuple[str, float | None, str]], height: float) -> "Figure":
    """Draw a bar for each part by name, value and colour, what they come to below a line; an unknown one says so.

    height: of the figure, inches. The parts end where the colour is no longer that of the first.
    """
    known = [value for _, value, _ in parts if value is not None and math.isfinite(value)]
    reach = max(known, default=0.0) * 1.18 or 1.0
    with figure_style():
        figure = new_figure(height)
        axes = figure.subplots()
        for row, (_, value, colour) in enumerate(parts):
            if value is None or not math.isfinite(value):
                axes.text(reach * 0.01, row, NOT_TOLD, va="center", ha="left", color=QUIET, fontstyle="italic")
                continue
            axes.barh(row, value, height=0.5, color=colour)
            axes.text(value + reach * 0.012, row, f"{value:.2f}", va="center", ha="left", color=INK)
        axes.set_yticks(range(len(parts)), [name for name, _, _ in parts])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        axes.set(xlim=(0, reach), ylim=(len(parts) - 0.5, -0.5))
        axes.axhline(sum(colour == parts[0][2] for _, _, colour in parts) - 0.5, color=LINE, linewidth=0.6)
        axes.xaxis.set_visible(False)
        axes.spines["bottom"].set_visible(False)
    return figure


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


_CMYK = 4  # channels


def grey_patches(assessment: Assessment) -> BoolArray:
    """Return which patches (n,) are grey: equal in every channel, or black ink alone where there are four; none of others."""
    if assessment.device.ndim == 2 and assessment.device.shape[1] == _CMYK:
        return np.asarray((assessment.device[:, :-1] < _SAME).all(axis=1))
    if assessment.device.ndim != 2 or assessment.device.shape[1] not in (1, 3):
        return np.zeros(len(assessment.sample_ids), dtype=np.bool_)
    return np.asarray(np.ptp(assessment.device, axis=1) < _SAME)


def plot_greys(assessment: Assessment) -> "Figure":
    """Draw a* and b*, and below them L*, against the device value: lines the profile, points the measured patches."""
    greys = grey_patches(assessment)
    inks = assessment.device.ndim == 2 and assessment.device.shape[1] == _CMYK
    value = np.zeros(0)
    if greys.any():
        value = 1 - assessment.device[greys, -1] if inks else assessment.device[greys].mean(axis=1)
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
        sent = "what black ink alone leaves bare" if inks else "device value, equal in every channel"
        lower.set(xlabel=sent, ylabel="L*", ylim=(0, 100), xlim=(-0.02, 1.02))
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


def coloured(assessment: Assessment) -> BoolArray:
    """Return which patches (n,) are colourful enough to have a hue."""
    chroma = np.hypot(assessment.measured_lab[:, 1], assessment.measured_lab[:, 2])
    return np.asarray(np.isfinite(assessment.delta_e) & (chroma >= LEAST_CHROMA))


def dot_area(delta_e: ArrayLike) -> FloatArray:
    """Return areas of dots (...), square points, for ΔE00 (...): proportional, with a floor so that zero is still seen.

    >>> dot_area([0.0, 1.0, 5.0, 50.0]).tolist()
    [2.0, 18.0, 82.0, 82.0]
    """
    return np.asarray(2.0 + 16.0 * np.clip(np.asarray(delta_e, dtype=np.float64), 0.0, _LARGEST))


def plot_lightness_hue(assessment: Assessment) -> "Figure":
    """Draw a dot a coloured patch at its hue angle and lightness, in its own colour, the larger the error the larger."""
    shown = np.flatnonzero(coloured(assessment))
    shown = shown[np.argsort(-assessment.delta_e[shown], kind="stable")]  # small dots on top of large ones
    lab = assessment.measured_lab[shown]
    hue = np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    with figure_style():
        figure = new_figure(3.5)
        axes = figure.subplots()
        ruled(axes)
        if len(shown):
            axes.scatter(
                hue,
                lab[:, 0],
                s=dot_area(assessment.delta_e[shown]),
                c=lab_to_srgb(lab),
                edgecolors=QUIET,
                linewidths=0.25,
                rasterized=len(shown) > 400,
                label="patches",
                zorder=2,
            )
            index = {int(row): at for at, row in enumerate(shown)}
            worst = [index[row] for row in worst_rows(assessment) if row is not None and row in index]
            if worst:
                axes.scatter(
                    hue[worst],
                    lab[worst, 0],
                    s=dot_area(assessment.delta_e[shown][worst]) + 14,
                    facecolors="none",
                    edgecolors=INK,
                    linewidths=1.0,
                    label="worst",
                    zorder=3,
                )
        else:
            axes.text(180, 50, "no coloured patch in these readings", ha="center", va="center", color=QUIET)
        axes.set(xlim=(0, 360), ylim=(0, 100), xlabel="hue angle of the measured colour", ylabel="lightness L*")
        axes.set_xticks([0, 90, 180, 270, 360], ["0° reddish", "90° yellowish", "180° greenish", "270° bluish", "360°"])
        axes.set_yticks(range(0, 101, 20))
        for size in _LEGEND:
            above = "+" if size == _LARGEST else ""
            axes.scatter(
                [], [], s=float(dot_area(size)), c=HAIR, edgecolors=LINE, linewidths=0.5, label=f"ΔE00 {size:g}{above}"
            )
        handles, labels = axes.get_legend_handles_labels()
        sizes = [(handle, text) for handle, text in zip(handles, labels, strict=True) if text.startswith("ΔE00")]
        figure.legend(
            [handle for handle, _ in sizes],
            [text for _, text in sizes],
            loc="outside upper right",
            ncols=len(_LEGEND),
            frameon=False,
            fontsize=SMALL_PT,
            handletextpad=0.2,
            columnspacing=1.4,
        )
    return figure


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourShift:
    """Means of neighbouring patches: where they were measured, and how far the profile lies from there."""

    measured_lab: FloatArray  # (k, 3)
    shift_ab: FloatArray  # (k, 2), profile minus measured
    count: IntArray  # (k,) patches in each mean
    factor: int  # how many times longer the arrows are drawn


def colour_shift(assessment: Assessment) -> ColourShift:
    """Return the mean shift of the patches of each bin of 10 by 10 in a*b*; of each patch where there are few."""
    known = np.isfinite(assessment.measured_lab).all(axis=1) & np.isfinite(assessment.profile_lab).all(axis=1)
    lab = assessment.measured_lab[known]
    shift = assessment.profile_lab[known, 1:] - lab[:, 1:]
    if len(lab) > _SINGLE:
        bins = np.floor(lab[:, 1:] / CELL + 0.5).astype(np.int64)
        _, inverse = np.unique(bins, axis=0, return_inverse=True)
        inverse = inverse.reshape(-1)
    else:
        inverse = np.arange(len(lab))
    count = np.bincount(inverse)
    mean_lab = _means(lab, inverse, count)
    mean_shift = _means(shift, inverse, count)
    length = float(np.percentile(np.hypot(*mean_shift.T), 95)) if len(mean_shift) else 0.0
    factor = next((factor for factor in _FACTORS if length > 1e-6 and factor * length <= 0.9 * CELL), 1)
    return ColourShift(
        measured_lab=frozen_floats(mean_lab),
        shift_ab=frozen_floats(mean_shift),
        count=frozen_integers(count),
        factor=factor,
    )


def _means(values: FloatArray, inverse: IntArray, count: IntArray) -> FloatArray:
    sums = [np.bincount(inverse, weights=column, minlength=len(count)) for column in values.T]
    return np.stack(sums, axis=-1) / np.maximum(count, 1)[:, None]


def plot_colour_shift(assessment: Assessment) -> "Figure":
    """Draw a dot a bin in its measured colour and an arrow towards what the profile says, lengthened."""
    shift = colour_shift(assessment)
    place = shift.measured_lab[:, 1:]
    reached = np.vstack([place, place + shift.shift_ab * shift.factor, [[-20.0, -20.0], [20.0, 20.0]]])
    low, high = np.floor(reached.min(axis=0) / 10) * 10, np.ceil(reached.max(axis=0) / 10) * 10
    with figure_style():
        figure = new_figure(4.1)
        axes = figure.subplots()
        grey_cross(axes)
        if len(place):
            axes.scatter(
                place[:, 0],
                place[:, 1],
                s=np.clip(6 + 2 * shift.count, 0, 26),
                c=lab_to_srgb(shift.measured_lab),
                edgecolors=QUIET,
                linewidths=0.25,
                zorder=2,
            )
            moved = np.hypot(*shift.shift_ab.T) * shift.factor > 0.3
            if moved.any():
                axes.quiver(
                    *place[moved].T,
                    *(shift.shift_ab[moved] * shift.factor).T,
                    angles="xy",
                    scale_units="xy",
                    scale=1,
                    width=0.0035,
                    headwidth=4,
                    headlength=5,
                    headaxislength=4.5,
                    color=INK,
                    zorder=3,
                )
        axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal", xlabel="a*", ylabel="b*")
    return figure
