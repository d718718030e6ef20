"""A proof page's figures: where colours came out, greys against their aims, and what the difference is made of."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import BoolArray
from spectro.records.proof_result import ProofResult, ProofShare
from spectro.report.plot_assessment import bars_of_parts
from spectro.report.style import INK, LINE, PAPER, QUIET, SMALL_PT, figure_style, grey_cross, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_FACTORS = (20, 15, 10, 7, 5, 3, 2, 1)
_ARROW = 12.0  # a*b* units that most arrows stay below
_LEAST_SPAN = 1.5


def arrow_factor(result: ProofResult) -> int:
    """Return how many times longer than they are arrows are drawn."""
    length = np.hypot(*(result.measured_lab - result.aim_lab)[_inside(result), 1:].T)
    typical = float(np.percentile(length, 95)) if len(length) else 0.0
    return next((factor for factor in _FACTORS if typical * factor <= _ARROW), 1)


def _inside(result: ProofResult) -> BoolArray:
    return np.array([group != "outside" for group in result.groups])


def plot_proof_colours(result: ProofResult) -> "Figure":
    """Draw every colour at its aim, in its measured colour, with an arrow towards where it came out.

    Colours outside the gamut have a ring at what was asked for and a line, at its true length, to where they came out.
    """
    inside, factor = _inside(result), arrow_factor(result)
    aim, got = result.aim_lab, result.measured_lab
    with figure_style():
        figure = new_figure(4.6)
        axes = figure.subplots()
        grey_cross(axes)
        for row in np.flatnonzero(~inside).tolist():
            axes.plot(*np.stack([aim[row, 1:], got[row, 1:]]).T, color=QUIET, linewidth=0.7, zorder=1)
        axes.scatter(
            aim[~inside, 1],
            aim[~inside, 2],
            s=26,
            facecolors=PAPER,
            edgecolors=QUIET,
            linewidths=0.7,
            zorder=2,
            label="outside",
        )
        axes.scatter(
            got[~inside, 1], got[~inside, 2], s=16, c=lab_to_srgb(got[~inside]), edgecolors=QUIET, linewidths=0.4, zorder=3
        )
        axes.scatter(
            aim[inside, 1], aim[inside, 2], s=22, c=lab_to_srgb(got[inside]), edgecolors=QUIET, linewidths=0.3, zorder=2,
            label="inside",
        )  # fmt: skip
        move = (got - aim)[inside, 1:] * factor
        moved = np.hypot(*move.T) > 0.4
        if moved.any():
            axes.quiver(
                *aim[inside][moved, 1:].T, *move[moved].T, angles="xy", scale_units="xy", scale=1, width=0.0032,
                headwidth=4, headlength=5, headaxislength=4.5, color=INK, zorder=4,
            )  # fmt: skip
        axes.set(aspect="equal", xlabel="a*", ylabel="b*")
        axes.margins(0.06)
    return figure


def plot_proof_greys(result: ProofResult) -> "Figure":
    """Draw how far greys, paper and black came out from their aims, against the aim's L*."""
    rows = [row for row, group in enumerate(result.groups) if group in ("greys", "paper", "darkest")]
    rows.sort(key=lambda row: float(result.aim_lab[row, 0]))
    lightness = result.aim_lab[rows, 0]
    away = (result.measured_lab - result.aim_lab)[rows]
    said = (result.forecast_lab - result.aim_lab)[rows]
    with figure_style():
        figure = new_figure(3.9)
        axes_of = figure.subplots(3, 1, sharex=True)
        for axis, (axes, name) in enumerate(zip(axes_of, ("L*", "a*", "b*"), strict=True)):
            axes.axhline(0, color=LINE, linewidth=0.6)
            axes.plot(lightness, said[:, axis], "-", color=LINE, linewidth=1.0, label="forecast")
            axes.plot(lightness, away[:, axis], "o-", color=INK, linewidth=0.7, markersize=3.4, label="print")
            widest = max(_LEAST_SPAN / 2, float(np.abs(np.vstack([away, said])[:, axis]).max(initial=0.0)) * 1.15)
            axes.set(ylabel=f"Δ{name}", ylim=(-widest, widest))
            ruled(axes)
        axes_of[2].set(xlabel="L* asked for", xlim=(0, 102))
        axes_of[0].legend(loc="upper right", fontsize=SMALL_PT, frameon=False, ncols=2, borderaxespad=0.1)
    return figure


def plot_proof_share(share: ProofShare) -> "Figure":
    """Draw a bar for each part of the difference, for all expected ones together, and for what was measured."""
    parts = (
        ("repeat noise", share.noise, LINE),
        ("model", share.model, LINE),
        ("tables, rounding", share.tables, LINE),
        ("another sheet", share.sheet, LINE),
        ("together", share.expected, QUIET),
        ("measured", share.measured, INK),
    )
    return bars_of_parts(parts, 1.9)
