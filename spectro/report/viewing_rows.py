"""Words of a viewing report that the page and the PDF share."""

from dataclasses import dataclass

from spectro.records.display_check import DisplayAim, EvenLevel
from spectro.records.viewing_plan import LightLimit
from spectro.report.number_words import number


@dataclass(frozen=True, slots=True, kw_only=True)
class EvenCell:
    """One place of a screen in a table of evenness."""

    text: str  # "" where nothing was read
    beyond: bool  # what the standard allows


def stops_text(stops: float) -> str:
    """Return how prints look beside a screen.

    >>> stops_text(0.01), stops_text(1.0), stops_text(-0.5)
    ('alike', '1.0 stops darker', '0.5 stops lighter')
    """
    return "alike" if abs(stops) < 0.05 else f"{abs(stops):.1f} stops {'darker' if stops > 0 else 'lighter'}"


def aim_text(aim: DisplayAim) -> str:
    """Return what a display is to show, in one line."""
    low, high = number(aim.lowest, 0), number(aim.highest, 0)
    wanted = low if aim.lowest == aim.highest else f"{low} to {high}"
    return (
        f"{aim.name}, {wanted} cd/m² ({aim.luminance_from}), white x {number(aim.white_xy[0], 4)}, "
        f"y {number(aim.white_xy[1], 4)} ({aim.white_from}), tones {aim.curve}"
    )


def kept_text(limit: LightLimit) -> str:
    """Return whether a limit is kept."""
    return "not judged" if limit.kept is None else "kept" if limit.kept else "not kept"


def even_words(level: EvenLevel) -> str:
    """Return which grey was read at several places, and what is allowed there."""
    grey = "white" if level.signal == 1 else f"grey {number(255 * level.signal, 0)} of 255"
    allowed = ""
    if level.shall:
        allowed = f"; ISO 12646: should ±{number(100 * level.should, 1)}, shall ±{number(100 * level.shall, 1)}"
    return f"{grey}{allowed}; Δu'v' up to {number(level.largest_away, 4)}"


def even_rows(level: EvenLevel) -> tuple[tuple[EvenCell, ...], ...]:
    """Return deviations from the middle in per cent, as the places lie on the screen."""
    by_place = dict(zip(level.places, level.relative, strict=True))
    limit = level.shall or float("inf")
    return tuple(
        tuple(
            EvenCell(text=_percent(by_place.get((row, column))), beyond=abs(by_place.get((row, column), 0.0)) > limit)
            for column in sorted({column for _, column in level.places})
        )
        for row in sorted({row for row, _ in level.places})
    )


def _percent(relative: float | None) -> str:
    """A deviation with its sign; none for zero, nothing where nothing was read."""
    if relative is None:
        return ""
    text = f"{100 * relative:+.1f}"
    return "0.0" if float(text) == 0 else text.replace("-", "−")
