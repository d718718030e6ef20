"""What is said of limits: where they are from, and which are a person's own."""

from spectro.records.limits import Limit, Limits
from spectro.standards.limits import Tolerances


def source_words(limit: Limit) -> str:
    """Return where a limit is from, in a few words.

    >>> source_words(Limit(value=2.0, unit="ΔE00", source="common practice, no source", meaning="seen"))
    'common practice'
    """
    return "your own limit" if limit.own else limit.source.removesuffix(", no source")


def own_in(tolerances: Tolerances | None, *subjects: str) -> tuple[str, ...]:
    """Return a sentence for each subject in which a person's own file has set limits; None: there is no such file."""
    return () if tolerances is None else tuple(said for name in subjects for said in own_limits(tolerances.of(name)))


def own_limits(limits: Limits) -> tuple[str, ...]:
    """Return a sentence that lists the limits which a person's own file has set, () where there are none."""
    own = [f"{name} {limits[name]:g} {limits.limit(name).unit}".removesuffix(" 1") for name in limits if limits.limit(name).own]
    return (f"Limits of your own decide here: {', '.join(own)}.",) if own else ()
