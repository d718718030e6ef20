"""Which sheet of a printing condition each file of readings stands for: told by chart, recipes and places, or said.

A chart carries its identity into the files of its readings (CHART_ID, which its page codes hold too). Files of one chart are
parts of one print where they hold other patches, and repeat readings of it where they hold the same ones, unless they state
different dates of printing. Without an identity the same patches are read again, patches whose ids go on where another file's
end are another part, and anything else is a further sheet. Ours, no source; the person who printed may say otherwise.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.readings.repeats import recipe_keys
from spectro.readings.sections import Section
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.print_sheets import SheetPart, SheetRole
from spectro.records.shown_text import shown_name
from spectro.standards.limits import shipped_limits

NO_SHEETS = np.zeros(0, dtype=np.int64)


@dataclass(slots=True)
class _File:
    """What a file says of the sheet it stands for."""

    name: str
    rows: IntArray
    charts: set[str]
    printed: set[str]
    recipes: set[bytes]
    ids: set[str]
    stated: IntArray  # (rows,) the sheet each row states, from 1; (0,) where none is


@dataclass(slots=True)
class _Sheet:
    """The files of one sheet so far."""

    files: list[_File] = field(default_factory=list)

    def all(self, name: str) -> set[object]:
        return set().union(*(getattr(one, name) for one in self.files))


def sheets_of_files(
    sections: Sequence[Section], device: FloatArray, reflectance: FloatArray, said: Sequence[int] = ()
) -> tuple[IntArray, tuple[SheetPart, ...]]:
    """Return the sheet (n,) of each reading, from 1, and what each file is; (0,) and () where all is one file's one sheet.

    device: (n, channels), reflectance: (n, bands), section after section. said: files that are further sheets.
    """
    if len({section.file for section in sections}) < 2 and not any(len(section.patches.sheets) for section in sections):
        return NO_SHEETS, ()
    files = _files(sections, device)
    numbers, sheets, parts = np.zeros(len(device), dtype=np.int64), list[_Sheet](), list[SheetPart]()
    for at, one in enumerate(files):
        if len(one.stated):  # one of our own files, which says so itself
            numbers[one.rows] = one.stated + len(sheets)
            new = [_Sheet([one]) for _ in range(int(one.stated.max()))]
            parts += [
                _part(one, len(sheets) + k + 1, SheetRole.FURTHER, int((one.stated == k + 1).sum())) for k in range(len(new))
            ]
            sheets += new
            continue
        role, where = (SheetRole.SAID, None) if at in said else _role(one, sheets)
        if where is None:
            sheets.append(_Sheet())
            where = len(sheets) - 1
        before = (
            np.concatenate([other.rows for other in sheets[where].files])
            if sheets[where].files
            else np.zeros(0, dtype=np.int64)
        )
        apart = _apart(one.rows, before, device, reflectance, sections) if role is SheetRole.REPEAT else None
        sheets[where].files.append(one)
        numbers[one.rows] = where + 1
        parts.append(SheetPart(file=one.name, sheet=where + 1, role=role, patches=len(one.rows), apart=apart))
    if parts and parts[0].role is SheetRole.FURTHER:
        parts[0] = _part(files[0], 1, SheetRole.FIRST, parts[0].patches)
    return numbers, tuple(parts)


def _part(one: _File, sheet: int, role: SheetRole, patches: int) -> SheetPart:
    return SheetPart(file=one.name, sheet=sheet, role=role, patches=patches)


def _files(sections: Sequence[Section], device: FloatArray) -> list[_File]:
    ends = np.cumsum([len(section.patches.lines) for section in sections])
    found: dict[int, _File] = {}
    for section, end in zip(sections, ends.tolist(), strict=True):
        rows = np.arange(end - len(section.patches.lines), end)
        one = found.setdefault(
            section.file,
            _File(shown_name(section.patches.path), rows[:0], set(), set(), set(), set(), np.zeros(0, dtype=np.int64)),
        )
        one.rows = np.concatenate([one.rows, rows])
        one.stated = np.concatenate([one.stated, section.patches.sheets])
        one.charts |= {section.chart_id} - {""}
        one.printed |= {section.printed} - {None} if section.printed else set()
        one.recipes |= {row.tobytes() for row in recipe_keys(device[rows])} if device.shape[1] else set()
        one.ids |= set(section.patches.ids or ())
    for one in found.values():
        if len(one.stated) != len(one.rows):  # some of its tables say nothing
            one.stated = one.stated[:0]
    return list(found.values())


def _role(one: _File, sheets: Sequence[_Sheet]) -> tuple[SheetRole, int | None]:
    """Return what a file is and the sheet (from 0) it belongs to, None for a new one."""
    if not sheets:
        return SheetRole.FIRST, None
    least = shipped_limits("repeats")["same_patches"]
    for at, sheet in enumerate(sheets):
        charts, printed = sheet.all("charts"), sheet.all("printed")
        other_chart = bool(one.charts and charts and not one.charts & charts)
        other_day = bool(one.printed and printed and not one.printed & printed)
        if other_chart or other_day:
            continue
        if len(one.recipes & sheet.all("recipes")) >= least * len(one.recipes):
            return SheetRole.REPEAT, at
        same_chart = bool(one.charts & charts)
        goes_on = not one.charts and not charts and bool(one.ids) and not one.ids & sheet.all("ids")
        if same_chart or goes_on:
            return SheetRole.PART, at
    return SheetRole.FURTHER, None


def _apart(
    rows: IntArray, before: IntArray, device: FloatArray, reflectance: FloatArray, sections: Sequence[Section]
) -> float | None:
    """Return the mean ΔE00 of readings from the first readings of the same patches; None where there are no spectra."""
    wavelengths = sections[0].spectra.wavelengths
    if len(wavelengths) < 2 or not device.shape[1]:
        return None
    first: dict[bytes, int] = {}
    for row in before.tolist():
        first.setdefault(recipe_keys(device[row]).tobytes(), row)
    pairs = [(row, first[key]) for row in rows.tolist() if (key := recipe_keys(device[row]).tobytes()) in first]
    here, there = (spectra_to_lab(reflectance[list(side)], wavelengths) for side in zip(*pairs, strict=True))
    return float(delta_e_2000(here, there).mean())
