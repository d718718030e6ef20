"""Small tables of a person's own aims: a tint by L*, a tone curve. CSV with the columns' names in the first line.

Cells are parted by commas, semicolons or tabs; where semicolons or tabs part them a comma is a decimal sign. Lines that
begin with # and blank lines are passed over. [RFC-4180]
"""

import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.files.text_lines import is_there, read_bytes, text_lines
from spectro.records.arrays import FloatArray
from spectro.records.grey_aim import GreyAim, GreyAimKind
from spectro.records.shown_text import shown_name

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_MAX_BYTES = 4 * 1024 * 1024
TINT_COLUMNS = ("lightness", "a", "b")
TONE_COLUMNS = ("value", "lightness")
BLACK_COLUMNS = ("lightness", "black")


def grey_aim(text: str, arrives: float = 80.0) -> GreyAim:
    """Return the aim that text names: "paper", "neutral" (reached at L* arrives), or a file with L*, a*, b* by row."""
    if text in (GreyAimKind.PAPER, GreyAimKind.NEUTRAL):
        return GreyAim(kind=GreyAimKind(text), arrives=arrives)
    path = Path(text)
    if not (path.suffix or "/" in text or "\\" in text or is_there(path)):
        raise InputError(f"the grey aim {text!r}", "paper, neutral, or a file with lightness, a, b", "Correct it.")
    rows = read_aim(path, TINT_COLUMNS)
    return GreyAim(kind=GreyAimKind.TINT, tint=rows[np.argsort(rows[:, 0], kind="stable")], origin=shown_name(path))


def read_aim(path: Path, names: Sequence[str]) -> FloatArray:
    """Return the rows (k, columns) of a table with the columns of these names, whatever their order in the file.

    Raises MeasurementFileError with the line where a name is missing or a cell is no number.
    """
    if not is_there(path):
        raise MeasurementFileError(
            path, 0, "no such file", "a table with " + ", ".join(names), "Check the name and the folder."
        )
    lines = text_lines(read_bytes(path, max_bytes=_MAX_BYTES), path).lines
    fix = "Write a first line " + ",".join(names) + " and a row of numbers for each place."
    places: list[int] | None = None
    rows = []
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        cells = _cells(line)
        if places is None:
            words = [re.sub(r"[*\s\"]", "", cell).lower() for cell in cells]
            missing = [name for name in names if words.count(name) != 1]
            if missing:
                raise MeasurementFileError(path, number, line.strip()[:60], "the column " + ", ".join(missing), fix)
            places = [words.index(name) for name in names]
            continue
        wanted = [cells[place] if place < len(cells) else "" for place in places]
        if not all(_NUMBER.fullmatch(cell) for cell in wanted):
            raise MeasurementFileError(path, number, line.strip()[:60], f"numbers below {', '.join(names)}", fix)
        rows.append([float(cell) for cell in wanted])
    if not rows:
        raise MeasurementFileError(path, 0, "no row of numbers", "at least one", fix)
    return np.array(rows, dtype=np.float64)


def _cells(line: str) -> list[str]:
    if ";" in line or "\t" in line:
        return [cell.strip().strip('"').replace(",", ".") for cell in re.split(r"[;\t]", line)]
    return [cell.strip().strip('"') for cell in line.split(",")]
