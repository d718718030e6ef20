"""Words of a viewing report that the page and the PDF share."""

from dataclasses import dataclass

from spectro.records.display_check import EvenLevel


@dataclass(frozen=True, slots=True, kw_only=True)
class EvenCell:
    """One place of a screen in a table of evenness."""

    text: str  # "" where nothing was read
    beyond: bool  # what the standard allows


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
