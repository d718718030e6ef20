"""Why a sheet is not as a description of its printer says: what is beyond limits, and every cause that is thought of.

The description is a profile, or a model of earlier readings; who has more to say of how the sheet came about, such as a
proof page whose aims are known, gives further explanations.
"""

import dataclasses
from collections.abc import Callable, Sequence

import numpy as np

from spectro.checks.fault_fits import Sheet, fitted_faults
from spectro.checks.page_bands import page_bands
from spectro.checks.proof_causes import Explaining, best_explanation, fitted_explanations, path_explanations, white_limit
from spectro.colour.difference import delta_e_2000
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.limits import Limits
from spectro.records.proof_result import Breach, ProofCause, ProofExplanation, Sureness


def explain_sheet(
    sheet: Sheet,
    positions: IntArray,
    more_explanations: Callable[[], Sequence[Explaining]],
    *,
    noise: float,
    broken: bool,
    limits: Limits,
) -> tuple[ProofExplanation, list[Breach]]:
    """Return why a sheet is as it is, with what of white and bands is beyond limits.

    positions: (n, 3) page, row, column from 1; (0, 3): not known. more_explanations: asked only where something is beyond
    limits. noise: ΔE00 of a reading. broken: other limits are broken already. limits: of proofs.
    """
    forecast, white, limit = sheet.forecast, sheet.white, white_limit(limits, noise)
    bands, shift = page_bands(sheet, positions, limits), float(delta_e_2000(sheet.read[white], forecast[white]))
    more = [Breach(what="paper white", value=shift, limit=limit)] if shift > limit else []
    if bands is not None:
        more.append(Breach(what=f"{bands.axis} of the page", value=bands.effect, limit=limits["bands"]))
    mean = float(delta_e_2000(sheet.read, forecast).mean())
    if not broken and not more:
        return ProofExplanation(
            cause=ProofCause.NONE, detail="", sureness=Sureness.CLEAR, before=mean, after=mean, runner_up="", runner_left=None
        ), []
    explanations = [
        *more_explanations(),
        *path_explanations(sheet.device, sheet.predict, forecast[white]),
        *fitted_explanations(sheet.read, forecast, white, limit, limits),
        *_as_moved(fitted_faults(sheet, limit), mean, limits),
        *([bands.explaining()] if bands is not None else []),
    ]
    found = best_explanation(sheet.read, forecast, explanations, white, noise=noise, limits=limits)
    if found.cause is ProofCause.UNKNOWN and bands is not None:  # small, but more than chance makes
        found = dataclasses.replace(found, cause=ProofCause.BANDS, detail=bands.words, sureness=Sureness.LIKELY)
    if found.cause is ProofCause.PRINTER and not found.also:  # a small change of all inks: the setting may be another one
        found = dataclasses.replace(found, also=str(ProofCause.INK_AMOUNT))
    return found, more


def _as_moved(faults: list[Explaining], away: float, limits: Limits) -> list[Explaining]:
    """Return faults with a little more or less of all inks told as what a printer that moves does. away: mean ΔE00."""
    if away > limits["moved_most"]:
        return faults
    return [dataclasses.replace(one, cause=ProofCause.PRINTER) if one.cause is ProofCause.INK_AMOUNT else one for one in faults]


def page_places(positions: IntArray) -> FloatArray:
    """Return rows and columns (n, 2) from -0.5 to 0.5 of places on pages (n, 3); (0, 2) where they are not known."""
    if not len(positions):
        return np.zeros((0, 2))
    places = np.asarray(positions, dtype=np.float64)[:, 1:]
    low, high = places.min(axis=0), places.max(axis=0)
    return np.asarray((places - low) / np.maximum(high - low, 1) - 0.5)
