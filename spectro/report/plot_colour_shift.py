"""Which way the profile's colours lie from the measured ones, in the a*b* plane."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from spectro.colour.srgb import lab_to_srgb
from spectro.records.arrays import FloatArray, IntArray, frozen_floats, frozen_integers
from spectro.records.assessment import Assessment
from spectro.report.style import INK, LINE, QUIET, figure_style, new_figure, ruled

if TYPE_CHECKING:
    from matplotlib.figure import Figure

CELL = 10.0  # side of a bin in a* and b*
_SINGLE = 60  # with so few patches each has its own arrow
_FACTORS = (100, 50, 20, 10, 5, 2, 1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColourShift:
    """Means of neighbouring patches: where they were measured, and how far the profile lies from there."""

    measured_lab: FloatArray  # (k, 3)
    shift_ab: FloatArray  # (k, 2), profile minus measured
    count: IntArray  # (k,) patches in each mean
    factor: int  # how many times longer the arrows are drawn


def colour_shift(assessment: Assessment) -> ColourShift:
    """Return the mean shift of the patches of each bin of 10 by 10 in a*b*; of each patch where there are few."""
    known = np.isfinite(assessment.measured_lab).all(axis=1) & np.isfinite(assessment.profile_lab).all(axis=1)
    lab = assessment.measured_lab[known]
    shift = assessment.profile_lab[known, 1:] - lab[:, 1:]
    if len(lab) > _SINGLE:
        bins = np.floor(lab[:, 1:] / CELL + 0.5).astype(np.int64)
        _, inverse = np.unique(bins, axis=0, return_inverse=True)
        inverse = inverse.reshape(-1)
    else:
        inverse = np.arange(len(lab))
    count = np.bincount(inverse)
    mean_lab = _means(lab, inverse, count)
    mean_shift = _means(shift, inverse, count)
    length = float(np.percentile(np.hypot(*mean_shift.T), 95)) if len(mean_shift) else 0.0
    factor = next((factor for factor in _FACTORS if length > 1e-6 and factor * length <= 0.9 * CELL), 1)
    return ColourShift(
        measured_lab=frozen_floats(mean_lab),
        shift_ab=frozen_floats(mean_shift),
        count=frozen_integers(count),
        factor=factor,
    )


def _means(values: FloatArray, inverse: IntArray, count: IntArray) -> FloatArray:
    sums = [np.bincount(inverse, weights=column, minlength=len(count)) for column in values.T]
    return np.stack(sums, axis=-1) / np.maximum(count, 1)[:, None]


def plot_colour_shift(assessment: Assessment) -> "Figure":
    """Draw a dot a bin in its measured colour and an arrow towards what the profile says, lengthened."""
    shift = colour_shift(assessment)
    place = shift.measured_lab[:, 1:]
    reached = np.vstack([place, place + shift.shift_ab * shift.factor, [[-20.0, -20.0], [20.0, 20.0]]])
    low, high = np.floor(reached.min(axis=0) / 10) * 10, np.ceil(reached.max(axis=0) / 10) * 10
    with figure_style():
        figure = new_figure(4.1)
        axes = figure.subplots()
        ruled(axes)
        axes.axhline(0, color=LINE, linewidth=0.6)
        axes.axvline(0, color=LINE, linewidth=0.6)
        if len(place):
            axes.scatter(
                place[:, 0],
                place[:, 1],
                s=np.clip(6 + 2 * shift.count, 0, 26),
                c=lab_to_srgb(shift.measured_lab),
                edgecolors=QUIET,
                linewidths=0.25,
                zorder=2,
            )
            moved = np.hypot(*shift.shift_ab.T) * shift.factor > 0.3
            if moved.any():
                axes.quiver(
                    *place[moved].T,
                    *(shift.shift_ab[moved] * shift.factor).T,
                    angles="xy",
                    scale_units="xy",
                    scale=1,
                    width=0.0035,
                    headwidth=4,
                    headlength=5,
                    headaxislength=4.5,
                    color=INK,
                    zorder=3,
                )
        axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal", xlabel="a*", ylabel="b*")
    return figure
