"""How well one printing condition prints the colours of another, judged by their profiles."""

from collections.abc import Sequence

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.icc.evaluate import printed_lab
from spectro.icc.profile_file import IccProfile
from spectro.profile.common_gamut import CELL, CommonPrinter, PrintedColours
from spectro.records.arrays import FloatArray
from spectro.records.limits import Limits
from spectro.records.progress import Progress, silent
from spectro.records.substitutes import CommonGamut, Fitness, Substitution


def substitutions(
    profiles: Sequence[IccProfile],
    prints: Sequence[PrintedColours],
    whites: FloatArray,
    limits: Limits,
    progress: Progress = silent,
) -> tuple[Substitution, ...]:
    """Return every printing condition in place of every other.

    prints: what each made of the same colours. whites: (profiles, 3), Lab of the papers, absolute. The colours of a printing
    condition are its prints of those that it reaches, evenly spread: no part of its gamut counts for more than its size.
    """
    found = []
    for of, wanted in enumerate(prints):
        progress("comparing", of / len(prints))
        own = wanted.lab[wanted.moved <= limits["reached"]]
        for by, other in enumerate(profiles):
            if of == by:
                continue
            apart = delta_e_2000(own, printed_lab(other, own))
            mean, p95 = float(apart.mean()), float(np.percentile(apart, 95))
            found.append(
                Substitution(
                    of=of,
                    by=by,
                    mean=mean,
                    p95=p95,
                    largest=float(apart.max()),
                    outside=float((apart > limits["reached"]).mean()),
                    white=float(delta_e_2000(whites[of], whites[by])),
                    fitness=_fitness(mean, p95, limits),
                )
            )
    return tuple(found)


def _fitness(mean: float, p95: float, limits: Limits) -> Fitness:
    if mean <= limits["good_mean"] and p95 <= limits["good_p95"]:
        return Fitness.GOOD
    if mean <= limits["nearly_mean"] and p95 <= limits["nearly_p95"]:
        return Fitness.NEARLY
    return Fitness.NO


def gamut_volume(prints: PrintedColours, limits: Limits) -> float:
    """Return the size of what is reached, cubic ΔE*ab."""
    return float((prints.moved <= limits["reached"]).sum() * CELL)


def judge_common(tried: FloatArray, prints: Sequence[PrintedColours], printer: CommonPrinter, limits: Limits) -> CommonGamut:
    """Return how large the common gamut is, and how near each printing condition comes to the colours of it."""
    inside = printer.holds(tried) < 0
    volume = float(inside.sum() * CELL)
    missed = [one.moved[inside] for one in prints]
    return CommonGamut(
        volume=volume,
        shares=tuple(min(1.0, volume / gamut_volume(one, limits)) for one in prints),
        mean=tuple(float(one.mean()) for one in missed),
        p95=tuple(float(np.percentile(one, 95)) for one in missed),
    )
