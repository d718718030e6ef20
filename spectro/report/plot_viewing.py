"""Figures of screen and print: luminances, whites, a display's greys and primaries, the spectrum of a light."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from spectro.checks.print_view import light_white
from spectro.colour.daylight import daylight_chromaticity
from spectro.colour.lights import named_light
from spectro.colour.rgb_spaces import xyz_of_chromaticity
from spectro.colour.viewing import chromaticity_uv
from spectro.records.display_check import DisplayAim, DisplayCheck, DisplayGamut, DisplayTones
from spectro.records.light import light_wavelengths
from spectro.records.limits import Limits
from spectro.records.viewing_plan import LightCheck, PrintView
from spectro.report.style import HAIR, INK, LINE, PAPER, QUIET, figure_style, new_figure, ruled
from spectro.standards.tables import observer_table
from spectro.words.viewing import THIS_SCREEN

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def plot_screen_luminance(view: PrintView, limits: Limits) -> "Figure":
    """Draw a mark for each luminance at the stops by which prints look darker or lighter than such a screen.

    limits: those of viewing, for what is not seen and what is usual.
    """
    with figure_style():
        figure = new_figure(0.85 + 0.2 * len(view.rows))
        axes = figure.subplots()
        unseen = math.log2(limits["hardly_seen_ratio"])
        axes.axvspan(-unseen, unseen, color=HAIR, linewidth=0, zorder=0)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        for place, row in enumerate(view.rows):
            usual = limits["usual_low"] <= row.luminance <= limits["usual_high"]
            now = row.note == THIS_SCREEN
            axes.plot([0, row.stops], [place, place], color=LINE, linewidth=1.0, zorder=1)
            axes.plot(
                row.stops,
                place,
                marker="s" if now else "o",
                markersize=5.5,
                color=INK,
                markerfacecolor=INK if usual or now else PAPER,
                markeredgewidth=0.9,
                clip_on=False,
            )
        axes.set_yticks(range(len(view.rows)), [f"{row.luminance:.0f} cd/m²" for row in view.rows])
        axes.tick_params(axis="y", length=0, labelcolor=INK)
        reach = max(1.0, *(abs(row.stops) for row in view.rows)) * 1.12
        axes.set(
            xlim=(-reach, reach),
            ylim=(len(view.rows) - 0.4, -0.8),
            xlabel="prints look lighter  ←  stops  →  prints look darker",
        )
        axes.text(0.0, -0.62, "print", color=QUIET, ha="center", va="center", backgroundcolor=PAPER, fontsize=7.5)
        ruled(axes, "x")
    return figure


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


def plot_display_gamut(gamut: DisplayGamut, aim: DisplayAim) -> "Figure":
    """Draw the triangle of the display (line, marks) and of the aim (dashes) inside the line of pure colours."""
    observer = observer_table(2)
    pure = chromaticity_uv(observer.values[(observer.wavelengths >= 400) & (observer.wavelengths <= 700)])
    own = np.array([primary.uv for primary in gamut.primaries])
    wanted = chromaticity_uv(xyz_of_chromaticity(aim.primaries))
    with figure_style():
        figure = new_figure(3.6)
        axes = figure.subplots()
        axes.plot(*np.vstack([pure, pure[:1]]).T, color=LINE, linewidth=0.8)
        axes.plot(*np.vstack([wanted, wanted[:1]]).T, color=QUIET, linewidth=1.1, linestyle=(0, (4, 2)), label=aim.name)
        axes.plot(*np.vstack([own, own[:1]]).T, color=INK, linewidth=1.3, marker="o", markersize=4, label="display")
        for primary in gamut.primaries:
            axes.annotate(primary.name, primary.uv, (6, 4), textcoords="offset points", color=INK)
        for primary in gamut.secondaries:
            axes.plot(*primary.uv, marker="o", color=INK, markerfacecolor=PAPER, markersize=4)
        axes.set(xlabel="u'", ylabel="v'", xlim=(0, 0.65), ylim=(0, 0.62), aspect="equal")
        ruled(axes)
        axes.legend(loc="lower right", frameon=False, handlelength=3.2)
    return figure


def plot_light_power(light: LightCheck) -> "Figure":
    """Draw both spectra with equal mean power from 400 to 700 nm, the ultraviolet that excites brighteners shaded."""
    nm = light_wavelengths()
    visible = (nm >= 400) & (nm <= 700)
    own, day = np.array(light.power), named_light("D50").power
    own, day = own / own[visible].mean(), day / day[visible].mean()
    with figure_style():
        figure = new_figure(2.3)
        axes = figure.subplots()
        axes.axvspan(360, 400, color=HAIR, linewidth=0)
        axes.plot(nm, day, color=LINE, linewidth=1.0, linestyle=(0, (5, 2)), label="D50")
        axes.plot(nm, own, color=INK, linewidth=1.2, label=light.name)
        axes.text(380, 0.02, "UV", color=QUIET, ha="center", va="bottom", fontsize=7.5)
        axes.set(xlabel="wavelength, nm", ylabel="power, mean 1", xlim=(360, 780), ylim=(0, None))
        ruled(axes)
        axes.legend(loc="best", frameon=False, handlelength=3.2)
    return figure
