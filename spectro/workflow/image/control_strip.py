"""A control strip and a label above a picture that shows a press's print: readings of it are compared with the press's aim.

The patches are recipes of the aim, so that their readings find its colours; they go through the same profiles as the picture.
Which patches: paper, solids, overprints, tints, greys of three inks, then those whose colours lie furthest from all others,
common practice, no source. Patches are 8 mm wide and 10 mm high, without gaps, for readers of strips and for single readings.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from spectro.checks.aims import composite_greys, pair_with_aim
from spectro.errors import InputError
from spectro.files.cgats import pack_cgats
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import device_rows, own_header, scale_header
from spectro.profile.picture_conversion import PictureProfile, Step, converted_rows, srgb_picture_profile
from spectro.profile.picture_strip import set_words
from spectro.readings.repeats import average_lab
from spectro.records.aim import Aim
from spectro.records.arrays import AnyArray, BoolArray, FloatArray
from spectro.records.conditions import RenderingIntent
from spectro.records.limits import Limits
from spectro.records.shown_text import shown_text

PATCH_MM = (8.0, 10.0)  # across, down
LEAST_PATCHES = 60
_MARGIN_MM, _LINE_MM, _MM_AN_INCH = 5.0, 4.0, 25.4
_TINTS = (0.1, 0.25, 0.4, 0.5, 0.7, 0.8)
_GREYS = 8
_BLACK = 3  # its place among CMYK
_FULL = 65535
_SPACES = {"CMYK": "cmyk", "RGB": "rgb"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ControlStrip:
    """The patches of a strip in reading order, row by row from the left, and what the page says of them."""

    aim: Aim
    device: FloatArray  # (n, channels), 0 to 1
    a_row: int
    lines: tuple[str, ...]  # of the label

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the patches: the letter of the row and the place in it."""
        places = (divmod(number, self.a_row) for number in range(len(self.device)))
        return tuple(f"{chr(ord('A') + row)}{column + 1}" for row, column in places)

    def listed(self) -> bytes:
        """Return the list of patches that readings are joined with."""
        numbers = tuple(str(number + 1) for number in range(len(self.device)))
        space = self.aim.colour_space
        fields, rows = device_rows(numbers, self.names, space, self.device, np.empty((0, 3), np.int64))
        header = [
            ("ORIGINATOR", "spectro"),
            ("DESCRIPTOR", f"control strip for {self.aim.name}, in reading order, {self.a_row} patches a row"),
            *scale_header(space, self.device),
        ]
        table = CgatsTable(
            signature="CGATS.17",
            header=own_header(header, fields),
            fields=fields,
            rows=tuple(rows),
            row_lines=(0,) * len(rows),
        )
        return pack_cgats(table).encode("utf-8")

    def drawn(self, width: int, ppi: float, press: Step, bits: int, together: int) -> AnyArray:
        """Return the strip and its label (rows, width, channels of the paper), uint8 or uint16, rows a multiple of together.

        ppi: pixels an inch. press: the step from the press's numbers to those of the paper.
        """
        scale = ppi / _MM_AN_INCH
        wide, high = round(PATCH_MM[0] * scale), round(PATCH_MM[1] * scale)
        margin, line = round(_MARGIN_MM * scale), round(_LINE_MM * scale)
        lines = -(-len(self.device) // self.a_row)
        height = 2 * margin + lines * high + len(self.lines) * line + line
        words = np.full((-(-height // together) * together, width, 3), 255, np.uint8)
        for number, text in enumerate(self.lines, 1):
            set_words(words, text, margin, margin + lines * high + round((number + 0.4) * line), ppi)
        plain = Step(
            source=srgb_picture_profile(), target=press.target, intent=RenderingIntent.RELATIVE, black_compensation=True
        )
        page = converted_rows(words, (plain,), bits)
        numbers = np.rint(self.device * _FULL).astype(np.uint16)[None]
        patches = converted_rows(numbers, (press,), bits)[0]
        for number, patch in enumerate(patches):
            row, column = divmod(number, self.a_row)
            top, left = margin + row * high, margin + column * wide
            page[top : top + high, left : left + wide] = patch
        return page


def control_strip(
    aim: Aim, press: PictureProfile, paper: str, picture: str, limits: Limits, *, width_mm: float, now: datetime | None = None
) -> ControlStrip:
    """Return the strip of an aim for a picture of a width. paper, picture: what the label calls them. limits: of aims.

    now: the clock, for tests. Raises InputError for a picture too narrow, or an aim of other inks than the press.
    """
    if _SPACES.get(aim.colour_space) != press.space:
        raise InputError(
            f"an aim for {aim.colour_space} and a press of {press.device_space}", "both for the same inks", "Name another aim."
        )
    a_row = int((width_mm - 2 * _MARGIN_MM) // PATCH_MM[0])
    if a_row < limits["strip_across"]:
        least = limits["strip_across"] * PATCH_MM[0] + 2 * _MARGIN_MM
        raise InputError(
            f"a picture {width_mm:.0f} mm wide", f"{least:.0f} mm or more", "Leave `control_strip` out, or print it larger."
        )
    own = average_lab(aim.device, aim.lab)[0]
    count = min(math.ceil(LEAST_PATCHES / a_row) * a_row, len(own))
    rows = strip_recipes(aim, limits, count)
    said = [f"aim: {aim.name}", aim.standard or "standard not named"]
    said += [f"measured {aim.condition or 'as not stated'}", f"backing {aim.backing or 'not stated'}"]
    day = (now or datetime.now(UTC)).date().isoformat()
    lines = (
        f"{picture} as printed by {press.name or 'the press'}, on {paper}, {day}",
        "; ".join(said),
        "instrument:                                  read on:                         verdict:",
    )
    return ControlStrip(aim=aim, device=own[rows], a_row=a_row, lines=tuple(shown_text(line) for line in lines))


def strip_recipes(aim: Aim, limits: Limits, count: int) -> list[int]:
    """Return the places of count recipes among an aim's, repeats averaged, in the order in which they are printed."""
    own, lab = average_lab(aim.device, aim.lab)
    bare = 1.0 if aim.colour_space == "RGB" else 0.0
    inks = np.abs(own - bare)
    chosen = [int(np.abs(own - bare).sum(axis=1).argmin())]
    full = np.isin(np.round(inks, 6), (0.0, 1.0)).all(axis=1) & inks.any(axis=1)
    overprinted = (inks[:, _BLACK:] > 0).any(axis=1) & (inks.sum(axis=1) > 1 + 1e-6)  # black hides what lies under it
    chosen += np.flatnonzero(full & ~overprinted).tolist()
    for channel in range(own.shape[1]):
        alone = np.flatnonzero((np.delete(inks, channel, axis=1) < 1e-6).all(axis=1) & (inks[:, channel] > 1e-6))
        chosen += [int(alone[np.abs(inks[alone, channel] - tint).argmin()]) for tint in _TINTS if len(alone)]
    chosen += _spread_greys(lab, composite_greys(pair_with_aim(aim, [""] * len(own), own, lab), limits["grey_within"]))
    chosen = list(dict.fromkeys(chosen))[:count]
    apart = np.min([np.linalg.norm(lab - lab[row], axis=1) for row in chosen], axis=0)
    while len(chosen) < count:
        chosen.append(int(apart.argmax()))
        apart = np.minimum(apart, np.linalg.norm(lab - lab[chosen[-1]], axis=1))
        apart[chosen] = -1.0
    return _told_apart(chosen, lab)


def _told_apart(rows: list[int], lab: FloatArray) -> list[int]:
    """Return rows with light and dark ones in turn, the lightest first: strips are cut where neighbours differ."""
    by_lightness = sorted(rows, key=lambda row: (-lab[row, 0], row))
    half = -(-len(rows) // 2)
    turns = [by_lightness[place::half] for place in range(half)]
    return [row for turn in turns for row in turn]


def _spread_greys(lab: FloatArray, greys: BoolArray) -> list[int]:
    """Return greys from light to dark, in about even steps of L*."""
    rows = np.flatnonzero(greys)
    if not len(rows):
        return []
    wanted = np.linspace(lab[rows, 0].max(), lab[rows, 0].min(), _GREYS)
    return [int(rows[np.abs(lab[rows, 0] - one).argmin()]) for one in wanted]
