"""The spectra of one table: which columns, which wavelengths, factor or percent.

References: [ISO-28178] spectral fields; [ISO-13655-2017] reflectance factor. Limits of plausible reflectance are common
practice, no source: -0.05 (noise and black trap at a dark patch) and 2 (brightened paper stays below).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.errors import MeasurementFileError, ReflectanceScaleError
from spectro.files.cgats_table import CgatsTable, folded_name
from spectro.files.field_names import PAIR_NAMES, looks_spectral, spectral_fields
from spectro.files.numeric_cells import numeric_columns
from spectro.records.arrays import BoolArray, FloatArray
from spectro.records.conditions import MeasurementCondition

LOWEST, HIGHEST = -0.05, 2.0  # reflectance factor
PERCENT_ABOVE = 3.0  # a largest value above is a percentage; between HIGHEST and this nothing is certain
_DARKEST_PEAK = 0.35  # reflectance factor; no dark patch of the shared prints is above 0.26 anywhere
_MOSTLY_DARK = 0.8  # share; on the shared prints all patches that read below 0.03 have such device values
_ABOVE_WHITE = 1.05  # reflectance factor at the lowest wavelength of a spectrum, above any white paper: ours
FIRST_BY, LAST_FROM = 420.0, 680.0  # nm every spectrum must span, so that colours can be computed
LARGEST_STEP = 20.0  # nm, the widest interval of [ASTM-E308]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectra:
    """Spectral columns of one measurement condition, values as written."""

    path: Path | str
    lines: tuple[int, ...]
    columns: tuple[str, ...]  # field names
    condition: MeasurementCondition | None  # what the names say
    wavelengths: FloatArray  # (bands,), nm, rising
    raw: FloatArray  # (n, bands) as written
    named_percent: bool
    row_fix: str = "Measure this patch again, or delete its row."  # what to do about a row that is wrong


def holds_spectra(table: CgatsTable) -> bool:
    """Return whether a table has spectral fields, in either way of writing them."""
    return bool(spectral_fields(table.fields)) or PAIR_NAMES[0] in map(folded_name, table.fields)


def table_spectra(table: CgatsTable, path: Path | str, *, even: bool = True) -> tuple[Spectra, ...]:
    """Return the spectra of a table, one record a measurement condition in the names. None are there: ().

    even: wavelengths must be evenly spaced. Uneven ones may have any range; even ones must span what colours need.
    """
    for name in table.fields:
        if looks_spectral(name):
            raise MeasurementFileError(
                path,
                table.fields_line,
                f"the field {name}",
                "spectral fields such as SPECTRAL_NM380",
                "Correct its name if it is one of the spectrum, else rename it or delete the column.",
            )
    groups: dict[str | None, list[tuple[float, int, bool]]] = {}
    for entry in spectral_fields(table.fields):
        groups.setdefault(entry.condition, []).append((entry.wavelength, entry.column, entry.percent))
    pairs = _pairs(table, path)
    if pairs and None in groups:
        raise MeasurementFileError(
            path, table.fields_line, "spectra in two ways of writing", "one of them", "Delete the columns of one."
        )
    if pairs:
        groups[None] = pairs
    found = []
    for condition, entries in groups.items():
        entries.sort()
        wavelengths = np.array([wavelength for wavelength, _, _ in entries])
        _check_wavelengths(wavelengths, table, path, even=even)
        columns = [column for _, column, _ in entries]
        if len({percent for _, _, percent in entries}) > 1:
            raise MeasurementFileError(
                path, table.fields_line, "some spectral fields in percent", "all or none", "Export the file again."
            )
        found.append(
            Spectra(
                path=path,
                lines=table.row_lines,
                columns=tuple(table.fields[column] for column in columns),
                condition=MeasurementCondition(condition) if condition else None,
                wavelengths=wavelengths,
                raw=numeric_columns(table, columns, path),
                named_percent=entries[0][2],
                row_fix=table.row_fix,
            )
        )
    return tuple(found)


def reflectance_factors(parts: Sequence[Spectra], dark: Sequence[BoolArray] = ()) -> list[FloatArray]:
    """Return the reflectance factors of parts that are read together; percentages are divided by 100.

    dark: for each part, which rows must print dark by their device values (n,); () where these are not known. Percentages
    of dark patches alone look like factors; dark patches that would reflect like paper tell them.
    Raises MeasurementFileError where factor and percent cannot be told apart, where the parts differ, and at the first
    value outside -0.05 to 2.
    """
    known = dark or [np.zeros(len(part.raw), dtype=bool) for part in parts]
    percent = [_is_percent(part, rows) for part, rows in zip(parts, known, strict=True)]
    for part, mine in zip(parts, percent, strict=True):
        if mine != percent[0]:
            words = ("reflectance factors", "percentages")
            raise MeasurementFileError(
                part.path,
                part.lines[0],
                f"{words[mine]}, but {words[percent[0]]} in {parts[0].path}:{parts[0].lines[0]}",
                "one of them in all tables",
                "Export the files in the same way.",
            )
    values = [part.raw / 100 if mine else part.raw for part, mine in zip(parts, percent, strict=True)]
    for part, reflectance in zip(parts, values, strict=True):
        _refuse_first(part, (reflectance < LOWEST) | (reflectance > HIGHEST), f"reflectance {LOWEST:g} to {HIGHEST:g}")
    return values


def _is_percent(part: Spectra, dark: BoolArray) -> bool:
    peaks = part.raw.max(axis=1)
    largest = float(peaks.max())
    if largest <= HIGHEST and _too_light(part, dark):
        if part.named_percent:
            return True
        raise ReflectanceScaleError(
            part.path, part.lines[int(np.argmax(peaks * (dark if dark.any() else 1)))],
            f"values of {largest:g} and less which as factors would be lighter than "
            f"{'any such patches print' if dark.any() else 'any paper'}", "factors or percentages that can be distinguished",
            "If they are percentages of dark patches, call the fields SPECTRAL_PCT380 and so on; "
            "else the readings are not those of these patches.",
        )  # fmt: skip
    if largest <= HIGHEST and not part.named_percent:
        return False
    if part.named_percent and largest > HIGHEST:
        return True
    if largest > PERCENT_ABOVE and np.mean(peaks > HIGHEST) >= 0.5:
        return True
    if part.named_percent:
        raise MeasurementFileError(
            part.path, part.lines[0], f"{largest:g} as the largest value of fields in percent", "percentages",
            "If these are reflectance factors, call the fields SPECTRAL_NM380 and so on.",
        )  # fmt: skip
    _refuse_first(part, part.raw > HIGHEST, "reflectance factors (at most 2) or percentages (most patches above 2)")
    return False


def _too_light(part: Spectra, dark: BoolArray) -> bool:
    """Tell whether values cannot be factors: the patches print dark and read light, or most spectra lie above a white.

    Whole charts are not meant here, whatever is wrong with their device values: they hold light patches too.
    """
    if dark.mean() >= _MOSTLY_DARK and np.median(part.raw[dark].max(axis=1)) > _DARKEST_PEAK:
        return True
    seen = (part.wavelengths >= FIRST_BY) & (part.wavelengths <= LAST_FROM)
    return bool(seen.any() and np.median(part.raw[:, seen].min(axis=1)) > _ABOVE_WHITE)


def _refuse_first(part: Spectra, wrong: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], expected: str) -> None:
    if wrong.any():
        row, band = (int(index) for index in np.argwhere(wrong)[0])
        raise MeasurementFileError(
            part.path,
            part.lines[row],
            f"{part.raw[row, band]:g} at {part.wavelengths[band]:g} nm",
            expected,
            part.row_fix,
        )


def _pairs(table: CgatsTable, path: Path | str) -> list[tuple[float, int, bool]]:
    """Return wavelength, column and percent of spectra written as a wavelength and a value, band after band."""
    names = [folded_name(name) for name in table.fields]
    at_nm = [column for column, name in enumerate(names) if name == PAIR_NAMES[0]]
    values = [column for column, name in enumerate(names) if name in PAIR_NAMES[1:]]
    if not at_nm and not values:
        return []
    if [column + 1 for column in at_nm] != values:
        raise MeasurementFileError(
            path, table.fields_line, "SPECTRAL_NM without a value behind it", "pairs of both", "Export the file again."
        )
    wavelengths = numeric_columns(table, at_nm, path)
    other = np.argwhere((wavelengths != wavelengths[0]).any(axis=1))
    if len(other):
        raise MeasurementFileError(
            path, table.row_lines[int(other[0, 0])], "other wavelengths than in the first row", "the same in all rows",
            "Export the rows of each wavelength range into a file of its own.",
        )  # fmt: skip
    percent = [names[column] == PAIR_NAMES[2] for column in values]
    return list(zip(wavelengths[0].tolist(), values, percent, strict=True))


def _check_wavelengths(wavelengths: FloatArray, table: CgatsTable, path: Path | str, *, even: bool) -> None:
    steps = np.diff(wavelengths)
    if not even and len(steps) >= 3 and steps.min() > 0 and np.ptp(steps) > 1e-6:
        return
    irregular = np.flatnonzero(np.abs(steps - np.median(steps)) > 1e-6) if len(steps) else np.array([], dtype=np.int64)
    if len(irregular):
        at = int(irregular[0])
        raise MeasurementFileError(
            path,
            table.fields_line,
            f"{wavelengths[at + 1]:g} nm after {wavelengths[at]:g} nm",
            f"one step throughout (here {np.median(steps):g} nm)",
            "Export the spectra again with all wavelengths, evenly spaced.",
        )
    if len(steps) == 0 or wavelengths[0] > FIRST_BY or wavelengths[-1] < LAST_FROM or not 0 < steps[0] <= LARGEST_STEP:
        raise MeasurementFileError(
            path,
            table.fields_line,
            f"{len(wavelengths)} wavelengths from {wavelengths[0]:g} to {wavelengths[-1]:g} nm",
            f"at least {FIRST_BY:g} to {LAST_FROM:g} nm in steps of at most {LARGEST_STEP:g} nm",
            "Export the spectra again with all wavelengths.",
        )
