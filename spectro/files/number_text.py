"""Numbers to text and back without a change: short where that is exact, with all digits where it is needed."""

from collections.abc import Sequence
from decimal import Context, Decimal
from fractions import Fraction

import numpy as np

from spectro.records.arrays import FloatArray

_LONG = 18  # a float's own text has fewer characters; longer text was written to be divided exactly


def number_text(value: float) -> str:
    """Return the shortest text that is read as the same float; whole numbers without a point.

    >>> number_text(255.0), number_text(0.1), number_text(-0.0)
    ('255', '0.1', '0')
    """
    text = repr(float(value) + 0.0)
    return text.removesuffix(".0")


def number_texts(values: FloatArray) -> list[list[str]]:
    """Return the text of each value (n, k), as `number_text`, a list a row; values that come again are written once.

    >>> number_texts(np.array([[255.0, 0.1], [0.1, -0.0]]))
    [['255', '0.1'], ['0.1', '0']]
    """
    different, where = np.unique(np.asarray(values, dtype=np.float64) + 0.0, return_inverse=True)
    texts = np.array([number_text(value) for value in different.tolist()], dtype=object)
    return [list(row) for row in texts[where.reshape(np.shape(values))]]


def rounded_text(value: float, decimals: int) -> str:
    """Return value rounded to decimals, without zeros at the end.

    >>> rounded_text(95.10000001, 4), rounded_text(-0.00001, 4)
    ('95.1', '0')
    """
    return number_text(round(float(value), decimals))


def scaled_texts(values: FloatArray, scale: int) -> list[str]:
    """Return values (any shape, flattened; factors, 0 to 1) times scale as texts that unscaled() takes back exactly."""
    flat = np.asarray(values, dtype=np.float64).reshape(-1)
    short = np.round(flat * scale, 6) + 0.0
    exact = short / scale == flat
    pairs = zip(flat.tolist(), short.tolist(), exact.tolist(), strict=True)
    return [number_text(number) if good else _scaled_text(value, scale) for value, number, good in pairs]


def unscaled(texts: Sequence[str], numbers: FloatArray, scale: int) -> FloatArray:
    """Return numbers / scale, rounded once, also where the text holds more digits than a float.

    texts: (n,) as written, decimal point; numbers: (n,) the same as floats.
    """
    result = numbers / scale
    for index, text in enumerate(texts):
        if _LONG < len(text) < 64 and abs(numbers[index]) > 1e-30:
            result[index] = float(Fraction(text) / scale)
    return result


def _scaled_text(value: float, scale: int) -> str:
    for digits in range(12, 18):
        text = f"{value * scale:.{digits}g}"
        if float(text) / scale == value and len(text) <= _LONG:
            return text
    return str(Context(prec=28).multiply(Decimal(value), Decimal(scale)))
