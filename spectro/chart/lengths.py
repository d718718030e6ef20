"""Lengths as people write them: plain numbers are millimetres, text carries its unit."""

import re

MM_A_UNIT = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4}

_LENGTH = re.compile(r'\s*(\d+(?:\.\d+)?)\s*(mm|cm|inches|inch|in|")\s*')
_MEASURES = re.compile(r'\s*(\d+(?:\.\d+)?)\s*x\s*(\d+(?:\.\d+)?)\s*(mm|cm|inches|inch|in|")\s*')
_ROLL = re.compile(r'roll[- ](\d+(?:\.\d+)?)\s*(mm|cm|inches|inch|in|")')


def length_mm(text: str) -> float | None:
    """Return a length in mm, None where the text is no number with a unit.

    >>> length_mm("8.5 in"), length_mm("10 cm"), length_mm("17in"), length_mm("8.5")
    (215.9, 100.0, 431.8, None)
    """
    match = _LENGTH.fullmatch(text)
    return round(float(match[1]) * MM_A_UNIT[match[2]], 6) if match else None


def measures_mm(text: str) -> tuple[float, float | None] | None:
    """Return width and height of a sheet in mm, height None for a roll; None where the text says neither.

    >>> measures_mm("13x19in"), measures_mm("100 x 150 mm"), measures_mm("roll-24in"), measures_mm("b9")
    ((330.2, 482.6), (100.0, 150.0), (609.6, None), None)
    """
    sheet = _MEASURES.fullmatch(text)
    if sheet:
        unit = MM_A_UNIT[sheet[3]]
        return round(float(sheet[1]) * unit, 6), round(float(sheet[2]) * unit, 6)
    roll = _ROLL.fullmatch(text)
    return (round(float(roll[1]) * MM_A_UNIT[roll[2]], 6), None) if roll else None
