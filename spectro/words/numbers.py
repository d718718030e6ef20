"""Numbers and dates as sentences and tables print them."""

import math
from collections.abc import Iterable, Sequence
from datetime import datetime

from spectro.records.statistics import DifferenceStatistics


def number(value: float | None, decimals: int, *, sign: bool = False) -> str:
    """Return value with decimals and a true minus sign; thousands apart; a dash where there is no finite number.

    sign: a plus before what is above zero too; zero has none.

    >>> number(-0.04, 1), number(-1.5, 1), number(None, 2), number(755918.2, 0), number(0.5, 2, sign=True)
    ('0.0', '−1.5', '–', '755\\u202f918', '+0.50')
    """
    if value is None or not math.isfinite(value):
        return "–"
    form = f"{'+' if sign else ''}{',' if abs(value) >= 10000 else ''}.{decimals}f"
    text = format(value, form).replace(",", "\u202f")
    return text.lstrip("+-") if float(f"{value:.{decimals}f}") == 0 else text.replace("-", "−")


def lab_text(lab: Iterable[float]) -> str:
    """Return Lab with one decimal each.

    >>> lab_text((50.0, -12.34, 5.0))
    '50.0 −12.3 5.0'
    """
    return " ".join(number(value, 1) for value in lab)


def plain_lab(lab: Iterable[float]) -> str:
    """Return Lab as the terminal shows it: a minus that can be copied, zero without a sign.

    >>> plain_lab((50.0, -12.34, -0.01))
    '50.0 -12.3 0.0'
    """
    return " ".join(f"{round(value, 1) + 0.0:.1f}" for value in lab)


def day(date: datetime | None) -> str:
    """Return a date as people write it in a table, a dash where there is none."""
    return date.strftime("%Y-%m-%d") if date else "–"


def difference_text(statistics: DifferenceStatistics, digits: int = 2) -> str:
    """Return mean, 95th percentile and maximum of colour differences as a phrase."""
    mean = f"{statistics.mean:.{digits}f}"
    return f"ΔE00 mean {mean}, 95th percentile {statistics.p95:.2f}, largest {statistics.max:.2f}"


def joined(parts: Sequence[str]) -> str:
    """Return parts as a list in a sentence.

    >>> joined(["white"]), joined(["white", "black", "2 more"])
    ('white', 'white, black and 2 more')
    """
    return " and ".join(part for part in (", ".join(parts[:-1]), *parts[-1:]) if part)


def capital(text: str) -> str:
    """Return text as it begins a sentence.

    >>> capital("no colour temperature"), capital("5000 K")
    ('No colour temperature', '5000 K')
    """
    return text[:1].upper() + text[1:]
