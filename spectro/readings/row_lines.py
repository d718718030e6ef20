"""Rows of a CGATS table, taken one by one while the file is still being written."""

from pathlib import Path
from typing import NoReturn

import numpy as np

from spectro.errors import MeasurementFileError
from spectro.files.cgats_header import STRUCTURE, header_line
from spectro.files.cgats_rows import cut_rows, words
from spectro.files.cgats_table import CgatsKeyword, CgatsTable
from spectro.files.field_names import SpectralField, spectral_fields
from spectro.readings.line_events import Facts, Reading
from spectro.readings.patches import ID_FIELDS, NAME_FIELDS
from spectro.readings.spectra import HIGHEST, LOWEST, table_spectra
from spectro.readings.statements import instrument_text, stated_backing, stated_condition
from spectro.records.conditions import MeasurementCondition


class RowBlock:
    """Header, field names and then rows, as their lines come."""

    def __init__(self, path: Path | str, condition: MeasurementCondition | None) -> None:
        """Begin. path: for messages; condition: picks among several in the names of the fields."""
        self.path, self.condition = path, condition
        self.open_names = self.open_rows = False
        self.open_header = True
        self._names: list[str] = []
        self._header: list[CgatsKeyword] = []
        self._spectral: tuple[SpectralField, ...] = ()

    def header(self, text: str, word: str, line: int) -> Facts | None:
        """Take a line outside of rows; return what it says of instrument and measurement."""
        self.open_header = True
        if word == "BEGIN_DATA_FORMAT":
            self._names, self.open_names = [], True
        elif word == "END_DATA_FORMAT":
            if not self.open_names:
                self._refuse(line, word, "BEGIN_DATA_FORMAT before it", "Send the field names again.")
            self.open_names = False
        elif word == "BEGIN_DATA":
            self._begin(line)
        elif self.open_names:
            self._names += words(text)
        elif word not in STRUCTURE:
            self._header.append(header_line(text, line))
            table = self._table(())
            return Facts(
                instrument=instrument_text(table) or None,
                condition=stated_condition(table, self.path),
                backing=stated_backing(table, self.path),
            )
        return None

    def close(self, line: int) -> None:
        """Take END_DATA."""
        if not self.open_rows:
            self._refuse(line, "END_DATA", "BEGIN_DATA before it", "Send the table again.")
        self.open_rows = self.open_header = False

    def reading(self, text: str, line: int, percent: bool) -> Reading:
        """Return the reading of one row; percent: values without a word about it are percentages."""
        cells = cut_rows([(line, text)], len(self._names), self.path)[0]
        table = self._table((cells,), line)
        groups = table_spectra(table, self.path)
        if self.condition is not None and len(groups) > 1:
            groups = tuple(group for group in groups if group.condition == self.condition) or groups
        if len(groups) != 1:
            self._refuse(line, f"{len(groups)} spectra in a row", "one", "Say which with `measurement_condition`.")
        group = groups[0]
        if group.condition and self.condition and group.condition != self.condition:
            self._refuse(line, f"spectra of {group.condition}", str(self.condition), "Read under one condition.")
        values = group.raw[0] / (100 if percent or group.named_percent else 1)
        if values.min() < LOWEST or values.max() > HIGHEST:
            fix = "Send `scale percent` before the table where the values are percentages, or read it again."
            self._refuse(line, f"{group.raw[0][np.argmax(np.abs(values))]:g} as reflectance", "a factor of at most 2", fix)
        ids, names = table.column(*ID_FIELDS), table.column(*NAME_FIELDS)
        return Reading(
            values,
            group.wavelengths,
            cells[names] if names is not None else "",
            cells[ids] if ids is not None else "",
        )

    def _begin(self, line: int) -> None:
        if self.open_names or not self._names:
            self._refuse(line, "BEGIN_DATA without field names", "BEGIN_DATA_FORMAT before it", "Send the field names.")
        if not spectral_fields(self._names):
            self._refuse(line, "no spectral fields", "fields such as SPECTRAL_NM380", "Send spectra.")
        self.open_rows = True

    def _table(self, rows: tuple[tuple[str, ...], ...], line: int = 0) -> CgatsTable:
        return CgatsTable(
            signature="", header=tuple(self._header), fields=tuple(self._names) if rows else (), rows=rows,
            row_lines=(line,) * len(rows), fields_line=line,
        )  # fmt: skip

    def _refuse(self, line: int, found: str, expected: str, fix: str) -> NoReturn:
        raise MeasurementFileError(self.path, line, found, expected, fix)
