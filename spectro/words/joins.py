"""Sentences of how files of readings were joined with their chart."""

from dataclasses import replace

from spectro.readings.strip_join import Joined
from spectro.words.reading_notes import listed


def otherwise_joined(found: Joined, claimed: Joined) -> Joined:
    """Return a join told by colours, with words that say so where the file itself claimed another one."""
    if found is claimed:
        return found
    said = claimed.words.split(",")[0]
    reason = "as its colours tell" if said.startswith("by order") else f"as its colours tell; {said} it does not fit"
    return replace(found, words=f"{found.words} ({reason})", found=True)


def several_orders(file: str, names: list[str]) -> tuple[str, str, str]:
    """Return what was found, what was expected and what to do where several orders fit the colours of a file alike."""
    return (
        f"{file}, whose colours fit the chart in several orders: {listed(tuple(names))}",
        "one order that is clear",
        "Say which with `row_order`, or export the readings with the chart's ids.",
    )


def order_caution(name: str, join: Joined) -> str:
    """Return what to keep in mind of a file that was joined as its colours tell."""
    return f"{name} was joined {join.words}: check that this is how it was read."


def without_strips(where: str, lost: tuple[str, ...]) -> str:
    """Return how a file is joined in which strips of the chart were skipped."""
    return f"by order, as {where} without {'strip' if len(lost) == 1 else 'strips'} {listed(lost)}"
