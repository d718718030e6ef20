"""The lightness–hue map: where among the colours the errors lie."""

from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import ArrayLike, BoolArray, FloatArray
from spectro.records.assessment import Assessment
from spectro.report.style import HAIR, INK, LINE, QUIET, SMALL_PT, figure_style, new_figure, ruled
from spectro.report.worst_patches import worst_rows

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LEAST_CHROMA = 5.0  # common practice, no source: below this the hue of a print is noise
_LARGEST = 5.0  # ΔE00 from which dots grow no more
_LEGEND = (0.5, 1.0, 2.0, 5.0)


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
