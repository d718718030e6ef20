"""Figures of a drift check: the control chart with its dated events, and which way the patches moved."""

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from spectro.records.drift import DriftResult
from spectro.report.style import FIGURE_WIDTH_IN, HAIR, INK, LINE, PAPER, QUIET, SMALL_PT, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_MOST_TICKS = 5
_DAY_STEPS, _MONTH_STEPS = (1, 2, 7, 14), (1, 2, 3, 6, 12, 24, 60, 120)


def plot_control_chart(result: DriftResult) -> "Figure":
    """Draw checks as marks over their dates, filled where they are within limits, hollow where beyond.

    By number where not every check has a date; events are then left out.
    """
    dates = [point.date for point in result.points if point.date is not None]
    dated = len(dates) == len(result.points)
    with figure_style():
        figure = new_figure(2.9)
        axes = figure.subplots()
        places = np.array([_day(date) for date in dates]) if dated else np.arange(1.0, len(result.points) + 1)
        means = np.array([point.difference.mean for point in result.points])
        p95 = np.array([point.difference.p95 for point in result.points])
        beyond = np.array([point.beyond for point in result.points])
        top = max(float(p95.max()), result.upper) * 1.25
        axes.vlines(places, means, p95, color=LINE, linewidth=0.8)
        axes.plot(places, p95, linestyle="", marker="_", color=LINE, markersize=5)
        axes.plot(places, means, color=QUIET, linewidth=0.8, zorder=2)
        axes.plot(places[~beyond], means[~beyond], linestyle="", marker="o", color=INK, markersize=4.5, zorder=3)
        axes.plot(
            places[beyond], means[beyond], linestyle="", marker="D", markersize=6.5, markerfacecolor=PAPER,
            markeredgecolor=INK, markeredgewidth=1.4, zorder=3,
        )  # fmt: skip
        apart = max(0.0, 0.06 * top - (result.upper - result.centre)) / 2  # of the two lines' names
        axes.axhline(result.centre, color=INK, linewidth=0.8, zorder=1)
        axes.axhline(result.upper, color=INK, linewidth=0.8, linestyle=(0, (5, 3)), zorder=1)
        for height, name in (
            (result.centre - apart, f"centre {result.centre:.2f}"),
            (result.upper + apart, f"limit {result.upper:.2f}"),
        ):
            axes.annotate(
                name, (1, height), xycoords=("axes fraction", "data"), xytext=(3, 0),
                textcoords="offset points", va="center", fontsize=SMALL_PT, color=QUIET, annotation_clip=False,
            )  # fmt: skip
        if dated:
            _events(axes, result, top)
            low, high = _span(result, places)
            ticks = date_ticks(low, high)
            axes.set_xticks([_day(tick) for tick in ticks], [tick.strftime("%Y-%m-%d") for tick in ticks])
            axes.set_xlim(low, high)
        else:
            axes.set(xlim=(0.5, len(places) + 0.5), xlabel="check, in the order given")
            axes.set_xticks(places[:: -(-len(places) // _MOST_TICKS)])
        axes.set(ylim=(0, top), ylabel="ΔE00 from the reference")
        ruled(axes, "y")
    return figure


def _day(date: datetime) -> float:
    return date.timestamp() / 86_400


def date_ticks(low: float, high: float) -> tuple[datetime, ...]:
    """Return at most five dates to mark between two days, counted from 1970: whole days, weeks or first days of months.

    >>> [tick.strftime("%Y-%m-%d") for tick in date_ticks(20454.0, 20600.0)]
    ['2026-01-01', '2026-02-01', '2026-03-01', '2026-04-01', '2026-05-01']
    """
    first = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=float(np.ceil(low)))
    for days in _DAY_STEPS:
        if (high - low) / days <= _MOST_TICKS:
            steps = int((high - np.ceil(low)) // days) + 1
            return tuple(first + timedelta(days=days * step) for step in range(max(steps, 0)))
    month = first.year * 12 + first.month - 1 + (first.day > 1)
    found: list[datetime] = []
    for step in _MONTH_STEPS:
        months = range(-(-month // step) * step, int(month + (high - low) / 28) + 2, step)
        every = [datetime(number // 12, number % 12 + 1, 1, tzinfo=UTC) for number in months]
        found = [date for date in every if low <= _day(date) <= high]
        if len(found) <= _MOST_TICKS:
            break
    return tuple(found)


def _span(result: DriftResult, places: np.ndarray) -> tuple[float, float]:
    known = [*places.tolist(), *(_day(event.date) for event in result.events)]
    if result.reference_date is not None:
        known.append(_day(result.reference_date))
    margin = max(0.04 * (max(known) - min(known)), 0.5)
    return min(known) - margin, max(known) + margin


def _events(axes: "Axes", result: DriftResult, top: float) -> None:
    """Number the events; the page's table says what each was."""
    for number, event in enumerate(result.events, start=1):
        place = _day(event.date)
        axes.axvline(place, color=HAIR, linewidth=1.6, zorder=0)
        axes.annotate(
            str(number), (place, top), ha="center", va="top", fontsize=SMALL_PT, color=INK,
            bbox={"boxstyle": "circle,pad=0.25", "facecolor": PAPER, "edgecolor": LINE, "linewidth": 0.7},
        )  # fmt: skip


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
