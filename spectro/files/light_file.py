"""Spectra of a person's own lights: a gallery's lamp, a viewing booth. One place finds a light by name or by file.

A CSV file has a wavelength in nm and a power in each line, in any unit, with or without a line of names before; between
them a comma, semicolon, tab or blanks. A CGATS file [ISO-28178] has either the two as fields (WAVELENGTH or NM, then the
power) or one row of spectral fields. A colour exchange file [ISO-17972-1] has one object with one spectrum.

Taken to 1 nm by linear interpolation, as the CIE does with its lamp tables: it makes no false dips beside a line of the
spectrum. Beyond the first and last wavelength the end value is held. [CIE-15-2018]
"""

import re
from pathlib import Path

import numpy as np

from spectro.colour.lights import as_light, is_light_name
from spectro.colour.resampling import resampled
from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats import parse_cgats
from spectro.files.cgats_table import CgatsTable, folded_name
from spectro.files.cxf import parse_cxf
from spectro.files.field_names import spectral_fields
from spectro.files.numeric_cells import numeric_columns
from spectro.files.text_lines import is_there, read_bytes, text_lines
from spectro.records.arrays import FloatArray
from spectro.records.light import Light, light_wavelengths
from spectro.records.shown_text import shown_name

FIRST_BY, LAST_FROM = 400.0, 700.0  # nm that must be measured; common practice, no source
LARGEST_STEP = 20.0
_NOISE = 0.01  # of the largest power: so far below zero a reading may be dark noise; common practice, no source
_MAX_BYTES = 4 * 1024 * 1024
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WAVELENGTH_FIELDS = ("WAVELENGTH_NM", "WAVELENGTH", "NM", "LAMBDA")
_FIX = "Export the light's spectrum as two columns, wavelength in nm and power."


def find_light(text: str) -> Light:
    """Return the light that text names: a CIE illuminant ("D50", "F11", "LED-B3"), daylight ("5500K"), or a file.

    A name wins over a file of the same name; give `./D50` for the file. Raises InputError where it is neither, and
    MeasurementFileError for a file that holds no spectrum of a light.
    """
    if is_light_name(text):
        return as_light(text)
    path = Path(text)
    if path.suffix or "/" in text or "\\" in text or is_there(path):
        return read_light(path)
    return as_light(text)  # raises, with all names


def read_light(path: Path) -> Light:
    """Read the spectrum of a light from a CSV, CGATS or CxF3 file; its name is the file's."""
    data = read_bytes(path, max_bytes=_MAX_BYTES)
    if data.lstrip(b"\xef\xbb\xbf\xff\xfe \r\n\t").replace(b"\0", b"").startswith(b"<"):
        return _light(*_from_cxf(data, path), path)
    lines = text_lines(data, path).lines
    if any(line.strip().upper() == "BEGIN_DATA_FORMAT" for line in lines):
        wavelengths, power = _from_cgats(parse_cgats(data, path), path)
    else:
        wavelengths, power = _from_lines(lines, path)
    return _light(wavelengths, power, path)


def _light(wavelengths: FloatArray, power: FloatArray, path: Path) -> Light:
    """Return the light at 1 nm, after a check of what was read."""
    order = np.argsort(wavelengths, kind="stable")
    wavelengths, power = wavelengths[order], power[order]
    _check(wavelengths, power, path)
    span = f"{wavelengths[0]:g} to {wavelengths[-1]:g} nm"
    at_1_nm = resampled(np.maximum(power, 0.0), wavelengths, light_wavelengths(), "linear")
    try:
        return Light(
            name=shown_name(path), power=at_1_nm, origin=f"{shown_name(path)}, {span}, linear to 1 nm, end values held"
        )
    except InputError as error:
        raise MeasurementFileError(path, 0, "no power within 360 to 780 nm", "the visible spectrum of a light", _FIX) from error


def _check(wavelengths: FloatArray, power: FloatArray, path: Path) -> None:
    steps = np.diff(wavelengths)
    if len(wavelengths) < 4 or wavelengths[0] > FIRST_BY or wavelengths[-1] < LAST_FROM:
        span = f"from {wavelengths[0]:g} to {wavelengths[-1]:g} nm" if len(wavelengths) else ""
        raise MeasurementFileError(path, 0, f"{len(wavelengths)} values {span}".strip(), "at least 400 to 700 nm", _FIX)
    if steps.min() <= 0:
        twice = wavelengths[int(np.argmin(steps))]
        raise MeasurementFileError(path, 0, f"{twice:g} nm twice", "each wavelength once", "Delete one of the two.")
    visible = steps[(wavelengths[1:] > FIRST_BY) & (wavelengths[:-1] < LAST_FROM)]
    if visible.max() > LARGEST_STEP:
        raise MeasurementFileError(path, 0, f"a step of {visible.max():g} nm", "20 nm or finer", _FIX)
    if power.min() < -_NOISE * power.max():
        at = wavelengths[int(np.argmin(power))]
        raise MeasurementFileError(
            path,
            0,
            f"a power of {power.min():g} at {at:g} nm",
            "no power below zero",
            "Measure again with the dark reading off.",
        )


def _from_lines(lines: tuple[str, ...], path: Path) -> tuple[FloatArray, FloatArray]:
    rows: list[tuple[float, float]] = []
    named = False
    for number, line in enumerate(lines, start=1):
        text = line.strip()
        if not text or text.startswith("#"):
            continue
        cells = _cells(text)
        if len(cells) >= 2 and all(_NUMBER.fullmatch(cell) for cell in cells[:2]):
            rows.append((float(cells[0]), float(cells[1])))
            continue
        if rows or named:
            raise MeasurementFileError(path, number, text[:60], "a wavelength and a power", _FIX)
        named = True  # one line of names
    if not rows:
        raise MeasurementFileError(path, 0, "no line with a wavelength and a power", "the spectrum of a light", _FIX)
    values = np.array(rows, dtype=np.float64)
    if not np.isfinite(values).all():
        raise MeasurementFileError(path, 0, "a number that is too large", "finite numbers", _FIX)
    return values[:, 0], values[:, 1]


def _from_cxf(data: bytes, path: Path) -> tuple[FloatArray, FloatArray]:
    found = [
        spectrum
        for item in parse_cxf(data, path).objects
        for spectrum in (*item.emissions, *(spectrum for _, spectrum in item.spectra))
    ]
    if len(found) != 1:
        raise MeasurementFileError(path, 0, f"{len(found)} spectra", "the spectrum of one light", _FIX)
    texts = (*found[0].wavelengths, *found[0].values)
    if not all(_NUMBER.fullmatch(text) for text in texts) or len(found[0].wavelengths) != len(found[0].values):
        raise MeasurementFileError(path, found[0].line, "a spectrum with other than numbers", "wavelengths and powers", _FIX)
    values = np.array([float(text) for text in texts])
    if not np.isfinite(values).all():
        raise MeasurementFileError(path, found[0].line, "a number that is too large", "finite numbers", _FIX)
    return values[: len(found[0].wavelengths)], values[len(found[0].wavelengths) :]


def _cells(text: str) -> list[str]:
    """Cells of one line; a comma is a decimal sign where semicolons, tabs or blanks part the cells."""
    if ";" in text or "\t" in text:
        parts = re.split(r"[;\t]", text)
        return [part.strip().strip('"').replace(",", ".") for part in parts]
    if "," in text:
        return [part.strip().strip('"') for part in text.split(",")]
    return text.split()


def _from_cgats(table: CgatsTable, path: Path) -> tuple[FloatArray, FloatArray]:
    column = table.column(*_WAVELENGTH_FIELDS)
    if column is not None:
        wanted = {folded_name(name) for name in _WAVELENGTH_FIELDS} | {"SAMPLEID", "SAMPLENAME", "INDEX"}
        others = [index for index, name in enumerate(table.fields) if folded_name(name) not in wanted]
        if len(others) != 1:
            raise MeasurementFileError(
                path, table.fields_line, f"{len(others)} fields, not counting the wavelength", "one: the power", _FIX
            )
        values = numeric_columns(table, [column, others[0]], path)
        return values[:, 0], values[:, 1]
    fields = spectral_fields(table.fields)
    if not fields:
        raise MeasurementFileError(path, table.fields_line, "no spectrum", "WAVELENGTH and a power, or spectral fields", _FIX)
    if len(table.rows) != 1:
        raise MeasurementFileError(
            path,
            table.row_lines[1],
            f"{len(table.rows)} spectra",
            "the spectrum of one light",
            "Put each light into a file of its own.",
        )
    values = numeric_columns(table, [field.column for field in fields], path)
    return np.array([field.wavelength for field in fields]), values[0]
