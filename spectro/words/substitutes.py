"""What is said of printing conditions that stand in for one another."""

from spectro.records.shown_text import shown_text
from spectro.records.substitutes import Fitness, Substitutes, Substitution
from spectro.words.numbers import number

FITS = {Fitness.GOOD: "can stand in", Fitness.NEARLY: "nearly", Fitness.NO: "cannot"}
_CAN = {Fitness.GOOD: "can", Fitness.NEARLY: "can nearly", Fitness.NO: "cannot"}
BY_PROFILES = (
    "Found from the profiles alone, each print relative to its own paper. Print a proof page on both before an edition "
    "depends on it."
)


def substitutes_verdict(found: Substitutes) -> str:
    """Return who has a substitute, and who has none."""
    best = [found.of(place)[0] for place in range(len(found.profiles))]
    held = [one for one in best if one.fitness is Fitness.GOOD]
    if len(best) == 2:
        return " ".join(_one_way(found, one) for one in best)
    if len(held) == len(best):
        worst = max(held, key=lambda one: one.mean)
        return (
            f"Each of the {len(best)} printing conditions has a substitute; the furthest, {_name(found, worst.by)} for "
            f"{_name(found, worst.of)}, is off by {_figures(worst)}."
        )
    lonely = min((one for one in best if one.fitness is not Fitness.GOOD), key=lambda one: -one.mean)
    have = (
        f"{len(held)} of {len(best)} printing conditions have a substitute"
        if held
        else "No printing condition has a substitute"
    )
    return (
        f"{have}. {_name(found, lonely.of)} is the hardest to replace: the best for it, {_name(found, lonely.by)}, is off by "
        f"{_figures(lonely)}."
    )


def common_words(found: Substitutes) -> str:
    """Return how large the common gamut is, in a sentence."""
    shares = found.common.shares
    least, most = min(shares), max(shares)
    which = f"{percent(least)} to {percent(most)}" if percent(least) != percent(most) else percent(least)
    farthest = max(found.common.p95)
    return (
        f"All of them print the same {number(found.common.volume / 1000, 0)} thousand cubic ΔE*ab, {which} of their own "
        f"gamuts, each to ΔE00 {number(farthest, 2)} or better at the 95th percentile."
    )


def white_words(found: Substitutes, limit: float) -> str:
    """Return which papers have different whites, "" where none have."""
    far = [one for one in found.pairs if one.of < one.by and one.white > limit]
    if not far:
        return ""
    worst = max(far, key=lambda one: one.white)
    count = "" if len(far) == 1 else f" ({len(far)} pairs differ by more than {number(limit, 1)})"
    return (
        f"Paper whites differ by up to ΔE00 {number(worst.white, 1)}, {_name(found, worst.of)} from "
        f"{_name(found, worst.by)}{count}: next to each other such prints look different, whatever the inks do."
    )


def conditions_words(found: Substitutes) -> str:
    """Return a caution where profiles rest on readings under different measurement conditions, else ""."""
    stated = sorted({str(one.condition) for one in found.profiles if one.condition})
    if len(stated) < 2:
        return ""
    return (
        f"The profiles rest on readings under different measurement conditions ({', '.join(stated)}): on papers with a "
        "brightener part of a difference is that alone."
    )


def percent(share: float) -> str:
    """Return a share in whole percent, never 0 % or 100 % for what is only near it.

    >>> percent(0.002), percent(0.5), percent(0.999), percent(1.0), percent(0.0)
    ('under 1 %', '50 %', '99 %', '100 %', '0 %')
    """
    if share > 0 and round(100 * share) < 1:
        return "under 1 %"
    return f"{min(round(100 * share), 99) if share < 1 else 100} %"


def _one_way(found: Substitutes, one: Substitution) -> str:
    return f"{_name(found, one.by)} {_CAN[one.fitness]} stand in for {_name(found, one.of)}: {_figures(one)}."


def _figures(one: Substitution) -> str:
    return f"ΔE00 {number(one.mean, 2)} on average and {number(one.p95, 2)} at the 95th percentile"


def _name(found: Substitutes, place: int) -> str:
    return shown_text(found.profiles[place].name)
