"""Were fresh patches of inks printed through other curves of the RIP, or with other inks? Asked before a refresh follows them.

A press whose dots grew and a RIP with other curves print the same colours: nothing in a print tells them apart. So wherever
curves of the inks explain a change that would do harm, were it a setting's, a person is asked; as where a change is so large
that other inks or another paper are as likely as a press that moved. And inks may stand in another order: files of five inks
and more number them, and names get lost.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter
from spectro.checks.ink_refresh_moves import ink_refresh_moves
from spectro.colour.difference import delta_e_2000, difference_roots
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.arrays import FloatArray
from spectro.records.drift import CauseFinding, DriftCause
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.statistics import DifferenceStatistics

CURVES, OTHERS = "curves of the RIP", "curves, inks or paper"
_FREEDOM = 2.0  # of curves, times their stated spread: a RIP's may be any (no source)
_MISFIT = 0.15  # of a change, by which moves are rough; as drift_cause


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePart:
    """What curves of the inks explain of a change."""

    explains: float  # share of its square
    mean: float  # ΔE00 by which they moved patches
    p95: float


def curve_part(fitted: FittedPrinter, device: FloatArray, change: FloatArray, noise: float) -> CurvePart:
    """Return what other tone curves of the inks explain of a change of Lab (n, 3) at device (n, inks). noise: of a reading."""
    inks = device.shape[1]
    roots = difference_roots(fitted.model.predict(device))
    groups = np.concatenate(ink_refresh_moves(fitted.model.predict, inks)(device)[:inks])
    moves = _FREEDOM * np.einsum("nij,knj->kni", roots, groups).reshape(len(groups), -1)
    seen = np.einsum("nij,nj->ni", roots, change).ravel()
    rough = noise**2 + _MISFIT**2 * float(np.mean(seen**2))
    part = moves.T @ np.linalg.solve(moves @ moves.T + rough * np.eye(len(moves)), moves @ seen)
    lengths = np.linalg.norm(part.reshape(-1, 3), axis=1)
    rest = seen - part
    return CurvePart(
        explains=1 - float(rest @ rest) / max(float(seen @ seen), 1e-12),
        mean=float(lengths.mean()),
        p95=float(np.percentile(lengths, 95)),
    )


def ink_setting(part: CurvePart, away: DifferenceStatistics, limits: Limits, *, paper: bool) -> CauseFinding | None:
    """Return the setting that fresh patches may have been printed with, None where it would do no harm. limits: of drift.

    away: what they changed by. paper: the bare paper moved, which explains a large change by itself. Curves that explain most
    of a change count for all of it: their moves are rough, and what else happened hides some of them.
    """
    mostly = part.explains >= limits["curves_mostly"]
    mean, p95 = (max(part.mean, away.mean), max(part.p95, away.p95)) if mostly else (part.mean, part.p95)
    harm = mean > limits["fresh_curves"] or p95 > limits["fresh_curves_p95"]
    if part.explains >= limits["explains"] and harm:
        return CauseFinding(cause=DriftCause.SETTING, detail=CURVES, share=1.0, explains=part.explains, mean=mean, p95=p95)
    large = away.mean > limits["act"] or away.p95 > limits["p95_over_mean"] * limits["act"]
    if large and not paper:
        return CauseFinding(cause=DriftCause.SETTING, detail=OTHERS, share=1.0, explains=0.0, mean=away.mean, p95=away.p95)
    return None


def other_order(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> tuple[int, int] | None:
    """Return the two inks that fresh readings hold in each other's place, None where they stand as in the old ones.

    fitted: the printer of the old readings. limits: of drift. No press changes into what two swapped inks make of it.
    """
    seen = spectra_to_pcs(fresh.reflectance, fresh.wavelengths).lab

    def away(order: list[int]) -> float:
        return float(delta_e_2000(fitted.model.predict(fresh.device[:, order]), seen).mean())

    plain = list(range(fresh.device.shape[1]))
    now = away(plain)
    if now <= limits["anew"] * limits["act"]:
        return None
    best, pair = np.inf, (0, 0)
    for one, other in combinations(plain, 2):
        order = plain.copy()
        order[one], order[other] = other, one
        left = away(order)
        if left < best:
            best, pair = left, (one, other)
    return pair if best <= limits["other_order"] * now else None
