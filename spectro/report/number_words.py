"""Numbers as reports print them."""

import math


def number(value: float | None, decimals: int) -> str:
    """Return value with decimals and a true minus sign; thousands apart; a dash where there is no finite number.

    >>> number(-0.04, 1), number(-1.5, 1), number(None, 2), number(755918.2, 0)
    ('0.0', '−1.5', '–', '755\\u202f918')
    """
    if value is None or not math.isfinite(value):
        return "–"
    text = f"{value:,.{decimals}f}" if abs(value) >= 10000 else f"{value:.{decimals}f}"
    text = text.replace(",", "\u202f")
    return text.removeprefix("-") if float(f"{value:.{decimals}f}") == 0 else text.replace("-", "−")
