"""A page of readings held against a description of its printing condition as a whole: is it as a right print, and if not, why?

The same limits and causes as for a proof page (`sheet_causes.py`): the mean, the 95th percentile, the largest difference,
groups of colours, the paper white and bands decide. What another sheet differs by comes from the description.
"""

from dataclasses import dataclass

import numpy as np

from spectro.checks.fault_fits import Sheet
from spectro.checks.predicted_colours import PredictedColours
from spectro.checks.print_noise import print_noise
from spectro.checks.proof_limits import far_from_forecast, one_patch, single_far
from spectro.checks.sheet_causes import explain_sheet, page_places
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.assessment import ErrorBudget
from spectro.records.limits import Limits
from spectro.records.proof import WITHIN
from spectro.records.proof_result import Breach, ProofCause, ProofExplanation

_ALMOST_WHITE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedPage:
    """What of a page is beyond limits, and why."""

    explanation: ProofExplanation
    breaches: tuple[Breach, ...]


def explain_page(
    device: FloatArray,
    lab: FloatArray,
    positions: IntArray,
    expected: PredictedColours,
    limits: Limits,
    *,
    spread: FloatArray | None = None,
) -> ExplainedPage | None:
    """Return why a page is not as a right print; None where nothing is beyond limits, or nothing can be told.

    device, lab: (n, 3) of its readings in the order they were taken. positions: (n, 3) page, row, column, or (0, 3).
    limits: of proofs. spread: (n,) ΔE00 by which each right reading is expected to be off; None: not known.
    """
    if expected.predict is None or len(device) < limits["colours"]:
        return None
    forecast = expected.predict(device)
    blank = np.flatnonzero((device > 1 - _ALMOST_WHITE).all(axis=1))
    white = int(blank[0]) if len(blank) else int(np.argmax(forecast[:, 0]))
    noise = print_noise().reading
    mean, p95 = expected.usual or (None, None)
    budget = ErrorBudget(
        repeat_noise=None, repeat_noise_from="", model=None, table=0.0, total=mean, p95=p95
    )  # what a right print is off by, another sheet with it
    groups = [next(iter(WITHIN))] * len(device)
    breaches = far_from_forecast(lab, forecast, groups, budget, limits, spread)
    sheet = Sheet(
        device=device,
        read=lab,
        forecast=forecast,
        white=white,
        places=page_places(positions),
        order=np.linspace(0, 1, len(lab)),
        predict=expected.predict,
    )
    found, more = explain_sheet(sheet, positions, tuple, noise=noise, broken=bool(breaches), limits=limits)
    if found.cause is ProofCause.NONE:
        return None
    row = None if more else single_far(lab, forecast, groups, breaches, budget, limits, spread)
    found = found if row is None else one_patch(found, lab, forecast, row)
    return ExplainedPage(explanation=found, breaches=(*breaches, *more))
