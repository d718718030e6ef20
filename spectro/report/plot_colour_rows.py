"""Rows of colour fields with a name each: what a page sets in its own fields, as a figure for documents."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray
from spectro.report.style import figure_style, new_figure

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ROW_IN = 0.42
_NAME = 28  # letters of a name; longer ones are cut


def plot_colour_rows(rows: Sequence[tuple[str, FloatArray]]) -> "Figure":
    """Draw one row of fields for each name and Lab (n, 3), D50; rows may differ in length."""
    with figure_style():
        figure = new_figure(_ROW_IN * len(rows) + 0.1)
        every = figure.subplots(len(rows), 1, squeeze=False)[:, 0]
        for axes, (name, lab) in zip(every, rows, strict=True):
            axes.imshow(lab_to_srgb(lab)[None, :, :], aspect="auto", interpolation="none", extent=(-0.5, len(lab) - 0.5, 0, 1))
            axes.spines[:].set_visible(False)
            axes.set(xticks=[], yticks=[])
            said = name if len(name) <= _NAME else f"{name[: _NAME - 1]}…"
            axes.set_ylabel(said, rotation=0, ha="right", va="center")
    return figure
