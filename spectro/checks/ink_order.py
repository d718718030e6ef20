"""Are fresh readings of inks in the order of the old ones? Files of five inks and more number their inks: names get lost."""

from itertools import combinations

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter, is_inks
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet


def other_order(fitted: FittedPrinter, fresh: MeasurementSet, limits: Limits) -> tuple[int, int] | None:
    """Return the two inks that fresh readings hold in each other's place, None where they stand as in the old ones, or RGB.

    fitted: the printer of the old readings. limits: of drift. No press changes into what two swapped inks make of it.
    """
    if not is_inks(fresh.colour_space):
        return None
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
