"""The tables that lie beside this file: page sizes and colours of inks. A table without its header lines is refused."""

import csv
import functools
from importlib import resources

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, IntArray, frozen_floats, frozen_integers


@functools.cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    text = resources.files("spectro.chart").joinpath(name).read_text("utf-8")
    lines = text.splitlines()
    head = [line.split(":")[0] for line in lines if line.startswith("#")]
    if head[:3] != ["# title", "# source", "# unit"]:
        raise InputError(f"{name} without title, source and unit", "these three header lines", "Install the package again.")
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


def named_pages() -> dict[str, tuple[float, float | None]]:
    """Return width and height in mm of the pages known by name; a height of None means a roll."""
    return {row["name"]: (float(row["width"]), float(row["height"]) or None) for row in _rows("page_sizes.csv")}


def page_said(name: str) -> str:
    """Return how people say the name of a page.

    >>> page_said("a3+"), page_said("10x15cm"), page_said("200x250mm")
    ('A3+', '10 x 15 cm', '200x250mm')
    """
    return next((row["said"] for row in _rows("page_sizes.csv") if row["name"] == name), name)


def named_inks() -> dict[str, FloatArray]:
    """Return the invented Lab (3,) of the full tone of inks known by name."""
    return {row["name"]: frozen_floats([float(row[axis]) for axis in "lab"]) for row in _rows("ink_colours.csv")}


def path_test_patches() -> tuple[IntArray, tuple[str, ...], IntArray]:
    """Return the patches of a path test: device values (n, 3) in steps of 1/255, what each is for, how often it is printed."""
    rows = _rows("path_test_patches.csv")
    steps = frozen_integers([[int(row[channel]) for channel in ("red", "green", "blue")] for row in rows])
    return steps, tuple(row["purpose"] for row in rows), frozen_integers([int(row["times"]) for row in rows])
