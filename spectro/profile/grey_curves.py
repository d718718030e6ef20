"""Curves of cyan, magenta and yellow that make their near-neutral overprints grey, with an L* that is aimed at.

For each level of the grey balance triplets three amounts are unknown and three numbers wanted, L*, a* and b*: so each level
settles what to send of the three inks. They are looked for by Gauss-Newton steps on a model of the print, and smooth curves
that never fall are laid through them. L* falls evenly from paper to the full overprint, or as another print's greys do, drawn
to the same ends; the tint is that of `grey_balance.py`, bent into the full overprint's own colour over the last part, for
there nothing is left to choose. Ours, built from that: the equations of [ISO-TS-10128] are not open here.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spectro.colour.grey_balance import grey_tint, grey_triplet
from spectro.maths.penalised_spline import fit_rising
from spectro.profile.ink_curves import WANTED
from spectro.records.arrays import FloatArray
from spectro.records.ink_stages import GreysFound

_BENDS = 0.75  # of the way to the full overprint, from which its own colour comes in
_STEPS, _STEP = 20, 1e-3
_STEADY = 1e-2  # share of the slopes that damps the first step
_MET = 0.5  # Lab distance left up to which a level was met

Colours = Callable[[FloatArray], FloatArray]
"""Absolute Lab (n, 3) of cyan, magenta and yellow (n, 3), 0 to 1 of what is sent at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreyTone:
    """How greys of another print darken: at `WANTED`, 0 at its paper and 1 at its full overprint, and its tint's offset."""

    depth: FloatArray  # (k,)
    tint: FloatArray  # (k, 2), a* and b* beyond the rule's for that print


def even_tone() -> GreyTone:
    """Return even steps of L*, greys as the rule says."""
    return GreyTone(depth=WANTED, tint=np.zeros((len(WANTED), 2)))


def tone_of_print(colours: Colours) -> GreyTone:
    """Return how the greys of a print darken, and how they differ from the rule's."""
    lab = colours(grey_triplet(WANTED))
    depth = (lab[0, 0] - lab[:, 0]) / (lab[0, 0] - lab[-1, 0])
    return GreyTone(depth=np.maximum.accumulate(depth), tint=lab[:, 1:] - grey_tint(lab[:, 0], lab[0], float(lab[-1, 0])))


def aimed_greys(colours: Colours, tone: GreyTone) -> FloatArray:
    """Return the absolute Lab (k, 3) aimed at for the triplets at `WANTED`, from bare paper to the full overprint."""
    paper, full = colours(np.array([[0.0] * 3, [1.0] * 3]))
    aim = np.empty((len(WANTED), 3))
    aim[:, 0] = paper[0] + (full[0] - paper[0]) * tone.depth
    aim[:, 1:] = grey_tint(aim[:, 0], paper, float(full[0])) + tone.tint
    share = np.clip((WANTED - _BENDS) / (1 - _BENDS), 0, 1)[:, None]
    share = share**2 * (3 - 2 * share)
    aim[:, 1:] += share * (full[1:] - aim[:, 1:])
    return aim


def grey_curves(colours: Colours, tone: GreyTone) -> tuple[FloatArray, GreysFound]:
    """Return what to send (k, 3) of cyan, magenta and yellow for `WANTED` of each, and what that makes of greys."""
    triplets, aim = grey_triplet(WANTED), aimed_greys(colours, tone)
    sent = _inks_of(colours, aim, triplets)
    sent[0], sent[-1] = 0.0, 1.0
    curves = np.empty_like(sent)
    for ink in range(3):
        weight, met = np.ones(len(WANTED)), np.zeros(len(WANTED))
        met[[0, -1]] = 1
        # a curve is over what is wanted of its own ink: magenta and yellow of a triplet lie below its cyan
        found = np.asarray(fit_rising(triplets[:, ink], sent[:, ink], weight, met)(WANTED))
        curves[:, ink] = np.clip((found - found[0]) / (found[-1] - found[0]), 0, 1)
    after = colours(through(curves, triplets))
    return curves, GreysFound(wanted=triplets, aim=aim, before=colours(triplets), after=after)


def through(curves: FloatArray, triplets: FloatArray) -> FloatArray:
    """Return what is sent (n, 3) for triplets (n, 3), through curves (k, 3) at `WANTED`."""
    return np.column_stack([np.interp(triplets[:, ink], WANTED, curves[:, ink]) for ink in range(3)])


def _inks_of(colours: Colours, aim: FloatArray, start: FloatArray) -> FloatArray:
    """Return the amounts (k, 3) near start whose colours are nearest to aim (k, 3).

    Levels that are missed begin again between neighbours that were met.
    """
    sent, left = _nearest(colours, aim, start)
    met = np.flatnonzero(left < _MET)
    missed = np.flatnonzero(left >= _MET)
    if len(missed) and len(met) > 1:
        between = np.column_stack([np.interp(missed, met, sent[met, ink]) for ink in range(3)])
        other, rest = _nearest(colours, aim[missed], between)
        better = rest < left[missed]
        sent[missed[better]] = other[better]
    return sent


def _nearest(colours: Colours, aim: FloatArray, start: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return amounts (k, 3) near start, and what is left to aim (k,), by damped Gauss-Newton steps for all at once."""
    at, damping = np.clip(start, 0, 1), np.full(len(start), _STEADY)
    lab = colours(at)
    left = np.linalg.norm(aim - lab, axis=1)
    for _ in range(_STEPS):
        slopes = np.empty((len(at), 3, 3))
        for ink in range(3):
            up, down = at.copy(), at.copy()
            up[:, ink], down[:, ink] = np.minimum(at[:, ink] + _STEP, 1), np.maximum(at[:, ink] - _STEP, 0)
            slopes[:, :, ink] = (colours(up) - colours(down)) / (up - down)[:, ink, None]
        normal = np.swapaxes(slopes, 1, 2) @ slopes
        scale = damping[:, None, None] * np.eye(3) * np.trace(normal, axis1=1, axis2=2)[:, None, None]
        pull = np.einsum("kji,kj->ki", slopes, aim - lab)
        trial = np.clip(at + np.linalg.solve(normal + scale, pull[:, :, None])[:, :, 0], 0, 1)
        tried = colours(trial)
        rest = np.linalg.norm(aim - tried, axis=1)
        better = rest < left
        at[better], lab[better], left[better] = trial[better], tried[better], rest[better]
        damping = np.clip(np.where(better, damping / 5, damping * 5), 1e-9, 1e3)
    return at, left
