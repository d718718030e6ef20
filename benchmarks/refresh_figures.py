"""What a campaign of refreshes found, in figures: told against true, and what spoilt prints were stopped for."""

from collections import Counter

import numpy as np


def line_of(case, kept):
    """What was said of one case, after its figures. kept: "enough", "open" or "not enough"."""
    spoilt = ", ".join(f"{fault}: {cause or 'passed'}{' (harm)' if harm else ''}" for fault, cause, harm in case.spoilt)
    stops = f"{', ASKED ' + case.asked if case.asked else ''}{', REFUSED ' + case.refused if case.refused else ''}"
    return f"{kept}{stops}; {spoilt}"


def tell_ratios(found):
    """Print how far what was told is from what is true."""
    for name, ratios in (("told", [c.told / c.true for c in found]), ("a new chart told", [c.reach / c.new for c in found])):
        off = np.expm1(np.abs(np.log(ratios)))
        print(
            f"{name} over true: median {np.median(ratios):.2f}; off by {np.median(off):.2f} in the median, "
            f"{np.quantile(off, 0.9):.2f} in 9 of 10"
        )


def tell_stops(found):
    """Print how many right changes were asked about or refused, and which spoilt prints passed."""
    print(
        f"changes that a refresh is for: {len(found)}, asked about {sum(bool(c.asked) for c in found)}, refused "
        f"{sum(bool(c.refused) for c in found)}"
    )
    passed, every = Counter(), Counter()
    for case in found:
        for fault, cause, harm in case.spoilt:
            every[fault] += 1
            passed[fault, "passed"] += not cause
            passed[fault, "passed with harm"] += harm and not cause
    for fault, count in every.items():
        print(f"{fault}: {count}, passed {passed[fault, 'passed']}, of these with harm {passed[fault, 'passed with harm']}")
