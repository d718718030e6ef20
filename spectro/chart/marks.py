"""What is drawn on a page, independent of the file format: filled boxes and lines of text, in millimetres."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from spectro.chart.fonts import BOLD, REGULAR

Colour: TypeAlias = tuple[float, float, float]

TEXT: Colour = (51 / 255, 51 / 255, 51 / 255)
QUIET: Colour = (102 / 255, 102 / 255, 102 / 255)
HAIRLINE: Colour = (170 / 255, 170 / 255, 170 / 255)
HAIRLINE_MM = 0.17


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle; left and top in mm from the sheet's top left corner."""

    left: float
    top: float
    width: float
    height: float
    device: Colour


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; x and baseline in mm from the sheet's top left corner. Upright text reads from below."""

    x: float
    baseline: float
    text: str
    size_pt: float
    font: str = REGULAR
    align: Literal["left", "centre", "right"] = "left"
    device: Colour = TEXT
    upright: bool = False


Mark: TypeAlias = Box | Text

__all__ = ["BOLD", "HAIRLINE", "HAIRLINE_MM", "QUIET", "REGULAR", "TEXT", "Box", "Colour", "Mark", "Text"]


def across_rule(left: float, top: float, length_mm: int) -> list[Mark]:
    """Return a horizontal check rule: a line with a tick every 10 mm. Its end ticks' outer edges are length_mm apart."""
    marks: list[Mark] = [Box(left, top, length_mm, HAIRLINE_MM, TEXT)]
    for at, size in _ticks(length_mm):
        marks.append(Box(left + at, top, HAIRLINE_MM, size, TEXT))
    return marks


def down_rule(left: float, top: float, length_mm: int) -> list[Mark]:
    """Return a vertical check rule, as `across_rule`."""
    marks: list[Mark] = [Box(left, top, HAIRLINE_MM, length_mm, TEXT)]
    for at, size in _ticks(length_mm):
        marks.append(Box(left, top + at, size, HAIRLINE_MM, TEXT))
    return marks


def _ticks(length_mm: int) -> list[tuple[float, float]]:
    ticks = []
    for at in range(0, length_mm + 1, 10):
        size = 3.0 if at in (0, length_mm) else 2.2 if at == length_mm // 20 * 10 else 1.4
        shift = 0.0 if at == 0 else -HAIRLINE_MM if at == length_mm else -HAIRLINE_MM / 2
        ticks.append((at + shift, size))
    return ticks
