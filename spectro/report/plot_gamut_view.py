"""The still picture of two gamuts: one in its own colours, the other as a net around it."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.records.paper_comparison import PaperFacts
from spectro.report.gamut_mesh import gamut_mesh, turned
from spectro.report.style import INK, LINE, QUIET, figure_style, new_figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

VIEWS = ((300.0, 18.0), (120.0, 18.0))  # turn and tilt, degrees: both sides


def plot_gamut_view(old: PaperFacts, new: PaperFacts) -> "Figure":
    """Draw both gamuts from two sides: the old one filled with its colours, the new one as a net."""
    with figure_style():
        figure = new_figure(2.9)
        for axes, view in zip(figure.subplots(1, 2), VIEWS, strict=True):
            _draw(axes, old, new, view)
            axes.set_title(f"seen from hue {view[0]:.0f}°", color=QUIET)
    return figure


def _draw(axes: "Axes", old: PaperFacts, new: PaperFacts, view: tuple[float, float]) -> None:
    from matplotlib.collections import LineCollection, PolyCollection

    solid, net = gamut_mesh(old), gamut_mesh(new)
    seen = turned(solid.points, *view)
    beside = np.roll(seen, -1, axis=1)
    faces = np.stack([seen[:-1], seen[1:], beside[1:], beside[:-1]], axis=2).reshape(-1, 4, 3)
    order = np.argsort(faces[..., 2].mean(axis=1), kind="stable")
    colours = solid.colours.reshape(-1, 3)[order]
    axes.add_collection(PolyCollection(list(faces[order][..., :2]), facecolors=colours, edgecolors=colours, linewidths=0.3))
    rings = turned(net.points, *view)
    closed = np.concatenate([rings, rings[:, :1]], axis=1)
    lines = [*closed[1:-1:2], *np.moveaxis(rings[:, ::3], 1, 0)]
    front = [line[:, :2] for line in lines]
    axes.add_collection(LineCollection(front, colors=INK, linewidths=0.45, alpha=0.75))
    axes.plot([0, 0], turned(np.array([[0.0, 0, 0], [100.0, 0, 0]]), *view)[:, 1], color=LINE, linewidth=0.8)
    axes.set(xlim=(-115, 115), ylim=(-75, 75), aspect="equal")
    axes.axis("off")
