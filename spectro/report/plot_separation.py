"""A separation: its inks along neutrals and full colours, and a made picture as ink planes, for this setting and others."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.separation_effect import SeparationEffect
from spectro.report.plot_inks import DASHES
from spectro.report.style import HAIR, INK, LINE, QUIET, SMALL_PT, figure_style, new_figure, ruled
from spectro.words.separation import setting_name

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_ACROSS = 3
_ROW_IN = 0.86  # of a setting


def plot_neutral_inks(effect: SeparationEffect) -> "Figure":
    """Draw each ink, and all together, against the L* of neutrals."""
    greys = effect.settings[0].greys
    with figure_style():
        figure = new_figure(3.1)
        axes = figure.subplots()
        lightness = greys.colours[:, 0]
        _ink_lines(axes, lightness, greys.inks, effect.names)
        axes.plot(lightness, 100 * greys.inks.sum(axis=1), color=LINE, linewidth=1.0, label="all together")
        axes.axvline(effect.settings[0].darkest, color=HAIR, linewidth=1.2)
        axes.set(xlabel="L* of neutrals, paper = 100", ylabel="ink, %", xlim=(0, 100))
        axes.set_ylim(bottom=0)
        ruled(axes)
        figure.legend(loc="outside right upper", frameon=False)
    return figure


def plot_full_colour_inks(effect: SeparationEffect) -> "Figure":
    """Draw each ink on the way from paper to each full colour, and on to black."""
    down = -(-len(effect.full) // _ACROSS)
    with figure_style():
        figure = new_figure(0.5 + 1.45 * down)
        grid = figure.subplots(down, _ACROSS, squeeze=False, sharey=True)
        for place, one in zip(grid.ravel(), effect.full, strict=False):
            way = np.linspace(0, 2, len(one.inks))
            _ink_lines(place, way, one.inks, effect.names if one is effect.full[0] else ())
            place.axvline(1, color=HAIR, linewidth=1.2)
            place.set_title(one.name, loc="left", color=QUIET)
            place.set(xlim=(0, 2), ylim=(0, 103))
            place.set_xticks([0, 1, 2], ["paper", "full", "black"])
            ruled(place, "y")
        for place in grid.ravel()[len(effect.full) :]:
            place.set_visible(False)
        for row in grid:
            row[0].set_ylabel("ink, %")
        figure.legend(loc="outside upper left", ncols=min(len(effect.names), 4), frameon=False)
    return figure


def plot_separation_settings(effect: SeparationEffect) -> "Figure":
    """Draw the made picture, and for each setting the inks of neutrals and the picture's ink planes, dark where ink lies."""
    inks = len(effect.names)
    rows = len(effect.settings)
    with figure_style():
        figure = new_figure(0.9 + _ROW_IN * (rows + 1))
        grid = figure.subplots(rows + 1, inks + 1, squeeze=False, width_ratios=(1.25, *[1.0] * inks))
        _picture(grid[0, 0], np.clip(lab_to_srgb(effect.picture), 0, 1))
        grid[0, 0].set_title("the picture", loc="left", color=QUIET, fontsize=SMALL_PT)
        for place, name in zip(grid[0, 1:], effect.names, strict=True):
            place.set_axis_off()
            place.text(0.5, 0.02, name, ha="center", va="bottom", color=QUIET, transform=place.transAxes, fontsize=SMALL_PT)
        for row, one in zip(grid[1:], effect.settings, strict=True):
            _ink_lines(row[0], one.greys.colours[:, 0], one.greys.inks, ())
            row[0].set(xlim=(100, 0), ylim=(0, 103), xticks=[], yticks=[0, 100])
            row[0].set_title(setting_name(one, effect.share), loc="left", fontsize=SMALL_PT, color=INK)
            for ink in range(inks):
                _picture(row[1 + ink], np.clip(1 - one.planes[:, :, ink], 0, 1))
    return figure


def _picture(axes: "Axes", values: np.ndarray) -> None:
    axes.imshow(values, cmap="gray", vmin=0, vmax=1, interpolation="nearest", aspect="auto")
    axes.set(xticks=[], yticks=[])
    for side in axes.spines.values():
        side.set(visible=True, color=HAIR)


def _ink_lines(axes: "Axes", way: np.ndarray, inks: np.ndarray, names: tuple[str, ...]) -> None:
    for ink in range(inks.shape[1]):
        label = names[ink] if names else None
        axes.plot(way, 100 * inks[:, ink], color=INK, linewidth=1.0, linestyle=DASHES[ink % len(DASHES)], label=label)
