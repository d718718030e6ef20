"""The still picture of two gamuts: one in its own colours, the other as a net around it."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.paper_comparison import PaperFacts
from spectro.report.gamut_mesh import face_colours, turned
from spectro.report.style import INK, LINE, QUIET, figure_style, new_figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

VIEWS = ((300.0, 18.0), (120.0, 18.0))  # turn and tilt, degrees: both sides


def plot_gamut_view(old: PaperFacts, new: PaperFacts) -> "Figure":
    """Draw both gamuts from two sides: the old one filled with its colours, the new one as a net."""
    with figure_style():
        figure = new_figure(2.25)
        for axes, view in zip(figure.subplots(1, 2), VIEWS, strict=True):
            _draw(axes, old, new, view)
            axes.set_title(f"seen from hue {view[0]:.0f}°", color=QUIET)
    return figure


def _draw(axes: "Axes", old: PaperFacts, new: PaperFacts, view: tuple[float, float]) -> None:
    from matplotlib.collections import LineCollection, PolyCollection

    seen = turned(old.faces, *view)
    squares = np.stack([seen[:, :-1, :-1], seen[:, 1:, :-1], seen[:, 1:, 1:], seen[:, :-1, 1:]], axis=3).reshape(-1, 4, 3)
    order = np.argsort(squares[..., 2].mean(axis=1), kind="stable")
    colours = face_colours(old.faces).reshape(-1, 3)[order]
    axes.add_collection(PolyCollection(list(squares[order][..., :2]), facecolors=colours, edgecolors=colours, linewidths=0.3))
    net = turned(new.faces, *view)[..., :2]
    ends = [0, net.shape[1] - 1]
    edges = [*net[:, ends].reshape(-1, *net.shape[2:]), *net[:, :, ends].swapaxes(1, 2).reshape(-1, *net.shape[2:])]
    inner = [*net[:, 2:-1:2].reshape(-1, *net.shape[2:]), *net[:, :, 2:-1:2].swapaxes(1, 2).reshape(-1, *net.shape[2:])]
    axes.add_collection(LineCollection(inner, colors=INK, linewidths=0.3, alpha=0.5))
    axes.add_collection(LineCollection(edges, colors=INK, linewidths=0.7, alpha=0.8))
    axes.plot([0, 0], turned(np.array([[0.0, 0, 0], [100.0, 0, 0]]), *view)[:, 1], color=LINE, linewidth=0.8)
    axes.set(xlim=(-105, 105), ylim=(-66, 76), aspect="equal")
    axes.axis("off")
