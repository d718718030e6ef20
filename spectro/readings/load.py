"""Files of readings, read."""

from collections.abc import Sequence
from pathlib import Path

from spectro.errors import InputError
from spectro.files.cgats import read_cgats, read_cgats_tables
from spectro.readings.from_cgats import measurements_of_files
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet


def load_readings(
    paths: Sequence[Path],
    *,
    chart: Path | None = None,
    condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
) -> MeasurementSet:
    """Read one or more files of one printing condition and return their readings, file after file.

    chart: the table that has the device values where the readings have none.
    condition: the measurement condition; it has no default. It picks where a file holds several, stands in where none is
        stated, and is an error where it contradicts the file.
    device_scale: 1, 100 or 255, the number that stands for full device value where the values do not tell it.
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
        [(path, read_cgats_tables(path)) for path in paths],
        condition=condition,
        device_scale=device_scale,
        chart=(chart, read_cgats(chart)) if chart else None,
    )
