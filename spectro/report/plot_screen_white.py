"""Whites in the u'v' diagram: paper, light, usual settings, and the display's."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from spectro.checks.print_view import light_white
from spectro.colour.daylight import daylight_chromaticity
from spectro.colour.rgb_spaces import xyz_of_chromaticity
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayCheck
from spectro.records.viewing_plan import PrintView
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_TOGETHER = 0.002  # Δu'v' within which two marks share a label
_DAYLIGHT = (4000.0, 4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 7000.0, 8000.0, 10000.0)


def plot_screen_white(view: PrintView | None, display: DisplayCheck | None, radius: float) -> "Figure":
    """Draw the whites with a circle of radius Δu'v' around the one that is aimed at."""
    points: list[tuple[str, tuple[float, float], str, bool]] = []
    if view is not None:
        points.append(("paper", view.white_uv, "o", True))
        points.append((f"light, {view.light}", view.light_uv, "D", False))
    for name in ("D50", "D65"):
        uv = chromaticity_uv(light_white(name))
        if view is None or view.light != name:
            points.append((name, (float(uv[0]), float(uv[1])), "+", True))
    aim = view.white_uv if view is not None else None
    if display is not None:
        uv = chromaticity_uv(xyz_of_chromaticity(display.aim.white_xy))
        aim = (float(uv[0]), float(uv[1]))
        points.append(("display", display.white.uv, "s", True))
    with figure_style():
        from matplotlib.patches import Circle

        figure = new_figure(3.3)
        axes = figure.subplots()
        track = np.array([chromaticity_uv(xyz_of_chromaticity(daylight_chromaticity(kelvin))) for kelvin in _DAYLIGHT])
        axes.plot(*track.T, color=LINE, linewidth=0.8)
        for kelvin, at in zip(_DAYLIGHT, track, strict=True):
            if kelvin in (4000.0, 5000.0, 6500.0, 8000.0, 10000.0):
                axes.plot(*at, marker="|", color=LINE, markersize=5)
                axes.annotate(
                    f"{kelvin:.0f} K", at, (5, -9), textcoords="offset points", color=QUIET, fontsize=7, annotation_clip=True
                )
        if aim is not None:
            axes.add_patch(Circle(aim, radius, fill=False, edgecolor=QUIET, linewidth=0.8, linestyle=(0, (3, 2))))
        for _, at, marker, filled in points:
            axes.plot(*at, marker=marker, color=INK, markerfacecolor=INK if filled else PAPER, markersize=6, linestyle="")
        for words, at in _labels([(name, at) for name, at, _, _ in points]):
            axes.annotate(words, at, (-6, 6), textcoords="offset points", ha="right", color=INK)
        every = np.array([at for _, at, _, _ in points])
        middle, half = (every.max(axis=0) + every.min(axis=0)) / 2, max(0.016, float(np.ptp(every, axis=0).max()) * 0.75)
        axes.set(
            xlabel="u'",
            ylabel="v'",
            xlim=(middle[0] - 1.5 * half, middle[0] + 1.5 * half),
            ylim=(middle[1] - half, middle[1] + half),
            aspect="equal",
        )
        ruled(axes)
    return figure


def _labels(points: Sequence[tuple[str, tuple[float, float]]]) -> list[tuple[str, tuple[float, float]]]:
    """Names and places, those that lie on one another in one label."""
    labels: list[tuple[str, tuple[float, float]]] = []
    for name, at in points:
        near = [index for index, (_, other) in enumerate(labels) if math.dist(at, other) < _TOGETHER]
        if near:
            labels[near[0]] = (f"{labels[near[0]][0]}; {name}", labels[near[0]][1])
        else:
            labels.append((name, at))
    return labels
