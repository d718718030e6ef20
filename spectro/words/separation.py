"""Sentences of a separation: the total area it keeps, and its black."""

from spectro.records.profile_result import BlackPrinted, TotalAreaFound
from spectro.standards.limits import shipped_limits

_DECIDED = {
    "stated": "as asked for",
    "usual": "the usual limit, as none is stated for this process; give yours with `total_area`",
    "measured": "the most that was measured",
    "darkening": "more ink makes this print no darker",
}
_SHARES = {
    "fine": "late, for the least grain",
    "usual": "as usual",
    "steady": "early, for greys that stay grey under other lamps",
}


def separation_sentence(total: TotalAreaFound, black: BlackPrinted) -> str:
    """Return what a verdict says of the separation."""
    said = f"Total area {total.percent:.0f} % ({_DECIDED[total.decided_by]}); black is L* {black.lightness:.1f}."
    if black.lightness - black.darkest > shipped_limits("inks")["tinted_black"]:
        said += f" Darker colours, down to L* {black.darkest:.1f}, are tinted: black is the darkest neutral."
    return said


def total_words(total: TotalAreaFound) -> str:
    """Return the total area with what it was chosen from."""
    return (
        f"{total.percent:.0f} %: {_DECIDED[total.decided_by]}. Measured up to {total.measured:.0f} %; no darker from "
        f"{total.darkening:.0f} % on"
    )


def black_words(black: BlackPrinted) -> str:
    """Return how black ink is used."""
    share = _SHARES.get(black.share, f"by {black.share}")
    ceiling = "" if black.ceiling >= 100 else f", at most {black.ceiling:.0f} %"
    inks = ", ".join(f"{name} {value:.0f}" for name, value in zip(black.names, black.inks, strict=True))
    return f"black ink {share}{ceiling}; black prints with {inks} %"
