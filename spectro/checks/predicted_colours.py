"""What every patch of a chart is expected to look like, where that comes from, and how far a right reading may be off.

Three origins: a model of this printing condition (earlier readings, or a profile); the readings themselves, each patch
predicted from the others (`self_prediction.py`); the generic printer. Only the first can tell faults of the whole sheet:
a prediction made from the sheet has the fault in it.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.chart.generic_printer import predict_ink_lab, predict_lab
from spectro.checks.colour_faults import Hypothesis, reference_hypotheses
from spectro.checks.printing_faults import printing_hypotheses
from spectro.records.arrays import FloatArray, frozen_floats

Predict = Callable[[FloatArray], FloatArray]
_INKS = ("cyan", "magenta", "yellow", "black")
LEAST_NOISE, MOST_NOISE = 0.1, 10.0  # ΔE00, what `judge_sheet` takes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PredictedColours:
    """Expected colours of all patches of a chart, in the order of its table."""

    lab: FloatArray  # (n, 3), D50, absolute
    noise: float  # mean ΔE00 of a right reading from it
    paper: FloatArray  # (3,) Lab of the unprinted paper
    origin: str  # words: "the model of earlier readings", …
    hypotheses: tuple[Hypothesis, ...] = ()  # faults of a whole sheet; empty where they cannot be told
    known_spread: bool = False  # spread is what a model of this printing condition knows of each patch, and decides alone
    spread: FloatArray | None = None  # (n,) expected ΔE00 of a right reading, where it differs from patch to patch
    predict: Predict | None = None  # of RGB device values by a description of this printing condition; None: there is none
    by_others: Predict | None = None  # of device values, where the readings predict one another; None: they do not
    usual: tuple[float, float] | None = None  # mean and 95th percentile ΔE00 of a right print from it; None: not known

    @property
    def tells_sheet_faults(self) -> bool:
        """Tell whether faults of the whole sheet can be seen."""
        return bool(self.hypotheses)


def paper_device(colour_space: str, channels: int) -> FloatArray:
    """Return the device values (1, channels) that leave paper bare: full RGB or grey, no ink."""
    return np.full((1, channels), 1.0 if colour_space in ("RGB", "GRAY") else 0.0)


def generic_lab(device: FloatArray, colour_space: str) -> FloatArray | None:
    """Return the generic printer's Lab (n, 3) of device values; None for inks it does not know."""
    if colour_space == "RGB":
        return predict_lab(device)
    if colour_space == "GRAY":
        return predict_lab(np.repeat(device, 3, axis=1))
    if colour_space in ("CMYK", "CMY"):
        return predict_ink_lab(device, _INKS[: device.shape[1]])
    return None


def model_colours(
    device: FloatArray,
    colour_space: str,
    predict: Predict,
    *,
    noise: float,
    origin: str,
    spread: FloatArray | None = None,
    usual: tuple[float, float] | None = None,
) -> PredictedColours:
    """Return what a model of this printing condition expects of device values (n, channels), 0 to 1.

    predict: device values to absolute Lab. noise: mean ΔE00 of a right reading from it. spread: (n,) ΔE00, the standard
    deviation of a right reading of each patch from its prediction, as the model knows it. usual: as for `PredictedColours`.
    """
    lab = predict(device)
    paper = predict(paper_device(colour_space, device.shape[1]))[0]
    hypotheses = reference_hypotheses(lab)
    if colour_space in ("RGB", "CMYK"):
        hypotheses += printing_hypotheses(device, predict, paper)
    return PredictedColours(
        lab=frozen_floats(lab),
        noise=float(np.clip(noise, LEAST_NOISE, MOST_NOISE)),
        paper=frozen_floats(paper),
        origin=origin,
        hypotheses=hypotheses,
        spread=None if spread is None else frozen_floats(spread),
        known_spread=spread is not None,
        predict=predict if colour_space == "RGB" else None,
        usual=usual,
    )
