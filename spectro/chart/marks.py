"""What is drawn on a page, independent of the file format: filled boxes and lines of text, in millimetres."""

import dataclasses
from dataclasses import dataclass
from enum import Enum
from typing import Literal, TypeAlias

from spectro.chart.channels import are_inks
from spectro.chart.fonts import BOLD, REGULAR

Device: TypeAlias = tuple[float, ...]


class Shade(Enum):
    """How dark words and lines are, 0 white to 1 darkest; each chart prints them in its own channels."""

    SOLID = 1.0  # the page code
    TEXT = 0.8
    QUIET = 0.6
    HAIRLINE = 0.333333


HAIRLINE_MM = 0.17


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle; left and top in mm from the sheet's top left corner."""

    left: float
    top: float
    width: float
    height: float
    device: Device | Shade


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; x and baseline in mm from the sheet's top left corner. Upright text reads from below."""

    x: float
    baseline: float
    text: str
    size_pt: float
    font: str = REGULAR
    align: Literal["left", "centre", "right"] = "left"
    device: Device | Shade = Shade.TEXT
    upright: bool = False


Mark: TypeAlias = Box | Text

__all__ = ["BOLD", "HAIRLINE_MM", "REGULAR", "Box", "Device", "Mark", "Shade", "Text"]


def shade_device(shade: Shade, channels: tuple[str, ...]) -> Device:
    """Return the device values of a shade: of light, equal and less; of inks, black alone, else all a little.

    >>> shade_device(Shade.TEXT, ("cyan", "black")), shade_device(Shade.SOLID, ("grey",))
    ((0.0, 0.8), (0.0,))
    """
    if not are_inks(channels):
        return (round((1 - shade.value) * 255) / 255,) * len(channels)
    if "black" in channels:
        return tuple(shade.value if name == "black" else 0.0 for name in channels)
    most = min(1.0, 2.4 / len(channels))
    return (round(shade.value * most, 6),) * len(channels)


def in_channels(marks: list[Mark], channels: tuple[str, ...]) -> list[Mark]:
    """Return marks with every shade turned into device values."""
    devices = {shade: shade_device(shade, channels) for shade in Shade}
    return [
        dataclasses.replace(mark, device=devices[mark.device]) if isinstance(mark.device, Shade) else mark for mark in marks
    ]


def across_rule(left: float, top: float, length_mm: int) -> list[Mark]:
    """Return a horizontal scale bar: a line with a tick every 10 mm. Its end ticks' outer edges are length_mm apart."""
    marks: list[Mark] = [Box(left, top, length_mm, HAIRLINE_MM, Shade.TEXT)]
    for at, size in _ticks(length_mm):
        marks.append(Box(left + at, top, HAIRLINE_MM, size, Shade.TEXT))
    return marks


def down_rule(left: float, top: float, length_mm: int) -> list[Mark]:
    """Return a vertical scale bar, as `across_rule`."""
    marks: list[Mark] = [Box(left, top, HAIRLINE_MM, length_mm, Shade.TEXT)]
    for at, size in _ticks(length_mm):
        marks.append(Box(left, top + at, size, HAIRLINE_MM, Shade.TEXT))
    return marks


def _ticks(length_mm: int) -> list[tuple[float, float]]:
    ticks = []
    for at in range(0, length_mm + 1, 10):
        size = 3.0 if at in (0, length_mm) else 2.2 if at == length_mm // 20 * 10 else 1.4
        shift = 0.0 if at == 0 else -HAIRLINE_MM if at == length_mm else -HAIRLINE_MM / 2
        ticks.append((at + shift, size))
    return ticks
