"""The user's own list of patches: device values from a CGATS or CSV file."""

import csv
from pathlib import Path

import numpy as np

from spectro.chart.channels import RGB, channel_names, colour_space
from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats import parse_cgats
from spectro.files.field_names import channels_of
from spectro.files.text_lines import read_bytes, text_lines
from spectro.records.arrays import FloatArray
from spectro.records.chart import ChartRecipe


def own_patches(recipe: ChartRecipe, folder: Path) -> FloatArray:
    """Return the patches of the recipe's own list, (n, channels), device values 0 to 1; (0, channels) without a list.

    folder: where the recipe lies; the file's name is relative to it. Columns are found by name: those of our tables
    (RGB_R, CMYK_C, 6CLR_1, GRAY_K), or the channels' own names.
    Raises MeasurementFileError, or InputError for a scale that cannot be told.
    """
    channels = channel_names(recipe)
    if recipe.own.file is None:
        return np.zeros((0, len(channels)))
    path = folder / recipe.own.file
    data = read_bytes(path)
    names, rows = _table(data, path)
    columns = _columns(names, channels, path)
    numbers = np.empty((len(rows), len(columns)))
    for index, (line, row) in enumerate(rows):
        for place, column in enumerate(columns):
            numbers[index, place] = _number(row[column] if column < len(row) else "", line, path)
    scale = recipe.own.scale or _scale(numbers, channels, path)
    if len(numbers) == 0:
        raise MeasurementFileError(path, 0, "no patches", "one patch a row", "Add rows or leave own.file out.")
    bad = np.flatnonzero(((numbers < 0) | (numbers > scale)).any(axis=1))
    if len(bad):
        line = rows[int(bad[0])][0]
        raise MeasurementFileError(path, line, "a device value out of range", f"0 to {scale}", "Correct it, or own.scale.")
    return np.asarray(numbers / scale)


def _table(data: bytes, path: Path) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """Return column names and rows with their lines; a file that holds no CGATS table is read as CSV."""
    if b"BEGIN_DATA" in data.replace(b"\0", b""):
        table = parse_cgats(data, path)
        lines = table.row_lines
        return list(table.fields), [(line, list(row)) for line, row in zip(lines, table.rows, strict=True)]
    text = [line for line in text_lines(data, path).lines if line.strip() and not line.startswith("#")]
    if not text:
        raise MeasurementFileError(path, 0, "an empty file", "a heading line, then one patch a row", "Choose another file.")
    cut = max(",;\t", key=text[0].count)
    rows = [[cell.strip() for cell in row] for row in csv.reader(text, delimiter=cut)]
    return rows[0], [(index + 2, row) for index, row in enumerate(rows[1:])]


def _columns(names: list[str], channels: tuple[str, ...], path: Path) -> list[int]:
    folded = [name.lower().strip('"') for name in names]
    space = colour_space(channels)
    standard = [f"{space}_{channel}".lower() for channel in channels_of(space)]
    letters = list("rgb") if channels == RGB else []
    for wanted in (standard, list(channels), letters):
        if wanted and all(folded.count(name) == 1 for name in wanted):
            return [folded.index(name) for name in wanted]
    raise MeasurementFileError(
        path,
        1,
        "the columns " + ", ".join(names[:12]),
        " ".join(name.upper() for name in standard) + ", or " + " ".join(channels),
        "Name the columns so, each once.",
    )


def _number(cell: str, line: int, path: Path) -> float:
    try:
        value = float(cell.replace(",", ".") if cell.count(",") == 1 and "." not in cell else cell)
    except ValueError:
        value = float("nan")
    if not np.isfinite(value):
        raise MeasurementFileError(path, line, f"{cell!r}", "a number", "Correct the cell.")
    return value


def _scale(numbers: FloatArray, channels: tuple[str, ...], path: Path) -> int:
    """Return the value of full tone that the largest number tells, by the rule for readings."""
    largest = float(numbers.max(initial=0.0))
    if largest <= 1 and len(numbers):
        return 1
    if channels == RGB and largest > 100:
        return 255
    if channels != RGB or largest == 100:
        return 100
    raise InputError(
        f"a largest device value of {largest:g} in {path}", "a scale that can be known", "Add scale = 100 or 255 to [own]."
    )
