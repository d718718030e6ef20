"""Files of readings, read."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from spectro.errors import InputError, MeasurementFileError
from spectro.files.cgats_table import CgatsTable
from spectro.files.text_lines import MAX_BYTES
from spectro.readings.content import read_tables
from spectro.readings.from_cgats import measurements_of_files
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet


def load_readings(
    paths: Sequence[Path],
    *,
    chart: Path | None = None,
    condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    max_bytes: int = MAX_BYTES,
) -> MeasurementSet:
    """Read one or more files of one printing condition and return their readings, file after file.

    Files are CGATS text, CxF3, CSV, .xlsx or ICC profiles with characterization data; what stands in a file tells which.

    chart: the table that has the device values where the readings have none, or the chart folder that holds it.
    condition: the measurement condition; it has no default. It picks where a file holds several, stands in where none is
        stated, and is an error where it contradicts the file.
    device_scale: 1, 100 or 255, the number that stands for full device value where the values do not tell it.
    columns: field name to the name a file uses instead, {"RGB_R": "red"}; it holds for all files, not for the chart.
    max_bytes: larger files are refused unread.
    Raises MeasurementFileError with file, line, what was found, what was expected and how to mend it.
    """
    if not paths:
        raise InputError("no file of readings", "at least one", "Name it.")
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            raise InputError(f"the file {path} twice", "each file of readings once", "Name it once.")
        seen.add(path.resolve())
    return measurements_of_files(
        [(path, read_tables(path, columns, max_bytes=max_bytes)) for path in paths],
        condition=condition,
        device_scale=device_scale,
        chart=(chart, _chart_table(chart, max_bytes)) if chart else None,
    )


CHART_TABLE = "chart.txt"
"""The patch table of a chart folder."""


def _chart_table(path: Path, max_bytes: int) -> CgatsTable:
    if path.is_dir():
        if not (path / CHART_TABLE).is_file():
            raise MeasurementFileError(
                path, 0, f"a folder without {CHART_TABLE}", "a chart folder or a chart's table", "Name the table itself."
            )
        path /= CHART_TABLE
    tables = read_tables(path, max_bytes=max_bytes)
    if len(tables) > 1:
        raise MeasurementFileError(
            path, tables[1].fields_line, f"{len(tables)} tables", "one table", "Put each table into a file of its own."
        )
    return tables[0]
