"""Chart folders, read: the chart itself, and which of its files are there and as they were written."""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from spectro.chart.chart_file import parse_chart
from spectro.chart.chart_folder import listed_files
from spectro.errors import MeasurementFileError
from spectro.records.chart import Chart
from spectro.records.chart_listing import FileState, ListedFile
from spectro.records.chart_origin import CHART_FILE

_MOST_BYTES = 64 * 1024 * 1024  # of a chart.json; that of 6000 patches has 2 MB


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartFolder:
    """A folder, or the chart file in it."""

    folder: Path
    chart: Chart
    sha256: str  # of chart.json


def read_chart_folder(path: Path) -> ChartFolder:
    """Read the chart of a folder, or of its chart.json. Raises MeasurementFileError."""
    file = path / CHART_FILE if path.is_dir() else path
    try:
        if not file.is_file():
            raise MeasurementFileError(path, 0, f"no {CHART_FILE}", "a chart folder", "Name the folder that holds the chart.")
        if file.stat().st_size > _MOST_BYTES:
            raise MeasurementFileError(file, 0, f"{file.stat().st_size} bytes", f"at most {_MOST_BYTES}", "Is it a chart?")
        data = file.read_bytes()
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise MeasurementFileError(file, 0, "no UTF-8 text", "a chart", "Take the chart folder as it was made.") from None
    except OSError as error:
        raise MeasurementFileError(file, 0, error.strerror or "a read error", "a chart", "Check its permissions.") from None
    return ChartFolder(folder=file.parent, chart=parse_chart(text, file), sha256=hashlib.sha256(data).hexdigest())


def chart_folders(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """Return the chart folders among paths and right below them, sorted below each."""
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            raise MeasurementFileError(path, 0, "no folder", "a chart folder, or a folder of them", "Correct the name.")
        if (path / CHART_FILE).is_file():
            found.append(path)
        else:
            found += sorted(one for one in path.iterdir() if (one / CHART_FILE).is_file())
    return tuple(dict.fromkeys(found))


def file_states(folder: Path) -> tuple[ListedFile, ...]:
    """Return the files that a folder's chart.json lists, and whether each is there and as it was written."""
    raw = json.loads((folder / CHART_FILE).read_text("utf-8"))
    sums = raw.get("sha256")
    known: dict[str, object] = sums if isinstance(sums, dict) else {}
    return tuple(_state(folder / name, known.get(name), name) for name in listed_files(raw))


def _state(path: Path, expected: object, name: str) -> ListedFile:
    if not path.is_file():
        return ListedFile(name=name, state=FileState.MISSING, bytes=0)
    size = path.stat().st_size
    if name == CHART_FILE:
        return ListedFile(name=name, state=FileState.PRESENT, bytes=size)
    if expected is None:
        return ListedFile(name=name, state=FileState.UNCHECKED, bytes=size)
    try:
        with path.open("rb") as file:
            same = hashlib.file_digest(file, "sha256").hexdigest() == expected
    except OSError:
        return ListedFile(name=name, state=FileState.CHANGED, bytes=size)
    return ListedFile(name=name, state=FileState.PRESENT if same else FileState.CHANGED, bytes=size)
