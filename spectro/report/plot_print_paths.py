"""What the paths of a path test print: the colours they reach, and their greys."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.path_test import PathTest
from spectro.report.style import INK, LINE, PAPER, QUIET, figure_style, grey_cross, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_STYLES = ("-", "--", ":", "-.")
_MARKS = ("o", "s", "^", "D")
_SHADES = (INK, QUIET, LINE)
_SHOWN = ((255, 255, 255), (136, 136, 136), (56, 56, 56), (0, 0, 0), (176, 96, 96), (96, 176, 96), (96, 96, 176))
_ROUND = ((255, 0, 0), (255, 255, 0), (0, 255, 0), (0, 255, 255), (0, 0, 255), (255, 0, 255))


def line_of(path: int) -> tuple[str, str, float]:
    """Return style, shade and width of the line of a path, counted from 0: paths are told apart without colour."""
    return _STYLES[path % 4], _SHADES[path // 4 % 3], 1.5 if path == 0 else 1.1


def plot_reach(result: PathTest) -> "Figure":
    """Draw the full colours of each path as an outline in a*b*, and its mid-tones in their own colour."""
    full, middle = full_colours(result.steps), _mid_tones(result.device)
    with figure_style():
        figure = new_figure(4.3)
        axes = figure.subplots()
        grey_cross(axes)
        for path, (found, lab) in enumerate(zip(result.findings, result.lab, strict=True)):
            style, shade, width = line_of(path)
            outline = lab[[*full, full[0]]]
            mark = _MARKS[path % 4]
            axes.plot(
                outline[:, 1], outline[:, 2], linestyle=style, color=shade, linewidth=width, label=found.name,
                marker=mark, markersize=5, markerfacecolor=PAPER, markeredgewidth=0.7,
            )  # fmt: skip
            axes.scatter(
                lab[middle, 1], lab[middle, 2], s=24, c=lab_to_srgb(lab[middle]), edgecolors=shade, linewidths=0.6,
                zorder=3, marker=mark,
            )  # fmt: skip
        axes.set(aspect="equal", xlabel="a*", ylabel="b*")
        _legend(figure, axes, len(result.findings))
    return figure


def plot_path_greys(result: PathTest) -> "Figure":
    """Draw the lightness of the greys of each path against their device values."""
    grey = np.flatnonzero(np.ptp(result.device, axis=1) < 1e-6)
    grey = grey[np.argsort(result.device[grey, 0], kind="stable")]
    with figure_style():
        figure = new_figure(4.3)
        axes = figure.subplots()
        ruled(axes)
        for path, (found, lab) in enumerate(zip(result.findings, result.lab, strict=True)):
            style, shade, width = line_of(path)
            value = 255 * result.device[grey, 0]
            axes.plot(
                value, lab[grey, 0], linestyle=style, color=shade, linewidth=width, label=found.name,
                marker=_MARKS[path % 4], markersize=3, markerfacecolor=PAPER, markeredgewidth=0.7,
            )  # fmt: skip
        axes.set(xlim=(0, 255), ylim=(0, 100), xlabel="device value of the grey, 0 to 255", ylabel="L*")
        axes.set_xticks([0, 51, 102, 153, 204, 255])
        _legend(figure, axes, len(result.findings))
    return figure


def full_colours(steps: IntArray) -> list[int]:
    """Return the rows of the six full colours, round the hues from red."""
    rows = {tuple(values): row for row, values in enumerate(steps.tolist())}
    return [rows[colour] for colour in _ROUND]


def shown_rows(result: PathTest) -> list[int]:
    """Return the patches that stand for a path's colours: the full ones, greys from paper to black, three mid-tones."""
    steps = [tuple(values) for values in result.steps.tolist()]
    return [*full_colours(result.steps), *(steps.index(colour) for colour in _SHOWN if colour in steps)]


def _mid_tones(device: FloatArray) -> IntArray:
    inside = (device.min(axis=1) >= 0.15) & (device.max(axis=1) <= 0.85)
    return np.flatnonzero(inside & (np.ptp(device, axis=1) >= 0.2))


def _legend(figure: "Figure", axes: "Axes", paths: int) -> None:
    handles, labels = axes.get_legend_handles_labels()
    short = [label if len(label) <= 28 else f"{label[:27]}…" for label in labels]
    columns = 1 if max(map(len, short)) > 16 else min(4, paths)
    figure.legend(handles, short, loc="outside upper left", ncols=min(2, paths) if columns == 1 else columns, frameon=False)
