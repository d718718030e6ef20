"""Loads the tables of standards that lie beside this file as CSV with a header."""

import functools
from dataclasses import dataclass
from importlib import resources

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import FloatArray, frozen_floats

_HEADER = ("title", "source", "unit", "entered")
_ILLUMINANT_FILES = (
    "illuminants_standard.csv",
    "illuminants_fluorescent.csv",
    "illuminants_fluorescent_3.csv",
    "illuminants_led.csv",
    "illuminants_discharge.csv",
    "illuminants_indoor.csv",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpectralTable:
    """Columns of numbers against wavelength."""

    header: dict[str, str]
    names: tuple[str, ...]
    wavelengths: FloatArray  # (m,), nm, rising
    values: FloatArray  # (m, columns)


def parse_table(text: str, name: str) -> SpectralTable:
    """Parse a table: four header lines (`# title:`, `# source:`, `# unit:`, `# entered:`), column names, rows.

    Raises InputError where a header line is missing or a row has the wrong number of columns.
    """
    lines = text.splitlines()
    header = {}
    for key, line in zip(_HEADER, lines, strict=False):
        if not line.startswith(f"# {key}: "):
            raise InputError(f"{name}: header line {line!r}", f"'# {key}: …'", "Give every table its four header lines.")
        header[key] = line.split(": ", 1)[1]
    names = lines[len(_HEADER)].split(",")
    rows = [line.split(",") for line in lines[len(_HEADER) + 1 :] if line]
    if not rows or any(len(row) != len(names) for row in rows):
        raise InputError(f"{name}: rows of uneven length", f"{len(names)} columns in every row", "Mend the table.")
    numbers = np.array(rows, dtype=np.float64)
    return SpectralTable(
        header=header,
        names=tuple(names[1:]),
        wavelengths=frozen_floats(numbers[:, 0]),
        values=frozen_floats(numbers[:, 1:]),
    )


@functools.cache
def load_table(name: str) -> SpectralTable:
    """Load a table of this folder by its file name."""
    return parse_table(resources.files("spectro.standards").joinpath(name).read_text("utf-8"), name)


def observer_table(observer: int) -> SpectralTable:
    """Return the colour-matching functions, 360 to 830 nm in steps of 1 nm, of the 2° or the 10° observer.

    Raises InputError for another observer.
    """
    if observer not in (2, 10):
        raise InputError(f"observer {observer}", "2 or 10 (degrees)", "Choose one of the two CIE observers.")
    return load_table(f"observer_{observer}.csv")


def illuminant_names() -> tuple[str, ...]:
    """Return the names of the illuminants known by name."""
    return (*(name for file in _ILLUMINANT_FILES for name in load_table(file).names), "E")


def illuminant_power(name: str, wavelengths: FloatArray) -> FloatArray:
    """Return the relative spectral power of a CIE illuminant at wavelengths (nm).

    Linear interpolation between the 5 nm values of the tables, the end values held beyond them [CIE-15-2018].
    The name is taken without regard to case. Raises InputError for an unknown one.
    """
    wanted = name.strip().upper()
    if wanted == "E":
        return np.full(np.shape(wavelengths), 100.0)
    for file in _ILLUMINANT_FILES:
        table = load_table(file)
        if wanted in table.names:
            return np.interp(wavelengths, table.wavelengths, table.values[:, table.names.index(wanted)])
    raise InputError(
        f"illuminant {name!r}", "one of " + ", ".join(illuminant_names()), "Choose one of these with `illuminant`."
    )
