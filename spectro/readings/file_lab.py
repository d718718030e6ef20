"""The Lab and XYZ a file itself holds, with the illuminant and observer it says they were computed for.

Nothing is assumed: a file that does not say its light gives None. Profiles are built from spectra, never from these; they
serve comparisons with what others published.

References: [ISO-28178] WEIGHTING_FUNCTION; [ISO-17972-1] tristimulus specification.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from spectro.errors import MeasurementFileError, ShapeError
from spectro.files.cgats_table import CgatsTable
from spectro.files.numeric_cells import numeric_columns
from spectro.readings.patches import ID_FIELDS, NAME_FIELDS
from spectro.readings.statements import stated_condition
from spectro.records.arrays import FloatArray, frozen_floats
from spectro.records.conditions import MeasurementCondition
from spectro.records.shown_text import shown_name

_ILLUMINANT = re.compile(r"\bILLUM(?:INANT|INATION)?\s*[,=:]?\s*\"?(D\d{2}|A|C|E|F\d{1,2})\b", re.IGNORECASE)
_OBSERVER = re.compile(r"\bOBSERVER(?:[_ ]?ANGLE)?\s*[,=:]?\s*\"?(2|10)(?:[ _]?°|[ _]?deg(?:ree)?s?|\b)", re.IGNORECASE)
_DEGREES = re.compile(r"\b(2|10)\s*(?:°|degrees?\b|deg\b)", re.IGNORECASE)
_LIGHT = re.compile(r"\b(D50|D55|D65|D75)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileLab:
    """Colours as a file states them, one row a patch."""

    sample_ids: tuple[str, ...]
    sample_names: tuple[str, ...]
    lab: FloatArray  # (n, 3), or (0, 3) where the file has none
    xyz: FloatArray  # (n, 3) on the file's own scale, or (0, 3)
    illuminant: str | None  # "D50"; None: not stated
    observer: int | None  # degrees, 2 or 10; None: not stated
    condition: MeasurementCondition | None
    origin: str

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        for name in ("lab", "xyz"):
            values = frozen_floats(getattr(self, name))
            if values.shape not in ((0, 3), (len(self.sample_ids), 3)):
                raise ShapeError(f"{name} has shape {values.shape}; expected ({len(self.sample_ids)}, 3) or (0, 3)")
            object.__setattr__(self, name, values)


def file_lab(table: CgatsTable, path: Path | str) -> FileLab:
    """Return the Lab and XYZ of one table."""
    illuminant, observer = stated_light(table, path)
    ids, names = table.column(*ID_FIELDS), table.column(*NAME_FIELDS)
    nothing = frozen_floats([]).reshape(0, 3)
    lab, xyz = _columns(table, "LAB"), _columns(table, "XYZ")
    return FileLab(
        sample_ids=table.texts(ids) if ids is not None else tuple(str(row + 1) for row in range(len(table.rows))),
        sample_names=table.texts(names) if names is not None else ("",) * len(table.rows),
        lab=numeric_columns(table, lab, path) if lab else nothing,
        xyz=numeric_columns(table, xyz, path) if xyz else nothing,
        illuminant=illuminant,
        observer=observer,
        condition=stated_condition(table, path),
        origin=shown_name(path),
    )


def stated_light(table: CgatsTable, path: Path | str) -> tuple[str | None, int | None]:
    """Return illuminant and observer (degrees) a table's header states, None for what it does not state.

    Keywords made for the purpose count first; free text of INSTRUMENTATION, MEASUREMENT_SOURCE and DESCRIPTOR where
    there are none. Raises MeasurementFileError where two statements differ.
    """
    close, loose = [], []
    for entry in table.header:
        text = f"{entry.keyword} {entry.value}"
        close += [("illuminant", word.upper(), entry.line) for word in _ILLUMINANT.findall(text)]
        close += [("observer", word, entry.line) for word in _OBSERVER.findall(text)]
        if entry.keyword.upper() in ("INSTRUMENTATION", "MEASUREMENT_SOURCE", "DESCRIPTOR", "FILE_DESCRIPTOR"):
            loose += [("illuminant", word.upper(), entry.line) for word in _LIGHT.findall(entry.value)]
            loose += [("observer", word, entry.line) for word in _DEGREES.findall(entry.value)]
    illuminant = _one("illuminant", close, path) or _one("illuminant", loose, path)
    observer = _one("observer", close, path) or _one("observer", loose, path)
    return illuminant, int(observer) if observer else None


def _one(what: str, statements: Iterable[tuple[str, str, int]], path: Path | str) -> str | None:
    found = [(word, line) for kind, word, line in statements if kind == what]
    for word, line in found:
        if word != found[0][0]:
            raise MeasurementFileError(
                path, line, f"{what} {word} after {what} {found[0][0]}", f"one {what}", "Correct the line that is wrong."
            )
    return found[0][0] if found else None


def _columns(table: CgatsTable, group: str) -> list[int]:
    suffixes = ("L", "A", "B") if group == "LAB" else ("X", "Y", "Z")
    columns = [table.column(f"{group}_{suffix}") for suffix in suffixes]
    return [column for column in columns if column is not None] if None not in columns else []
