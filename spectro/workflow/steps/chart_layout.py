"""The chart that readings are held against: a chart folder, a table of patches, or what the readings themselves say."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.chart.channels import colour_space
from spectro.chart.chart_file import CHART_FILE, parse_chart
from spectro.errors import InputError, MeasurementFileError
from spectro.files.text_lines import read_bytes
from spectro.readings.content import read_tables
from spectro.readings.device_scale import decided_scale, device_factors
from spectro.readings.intake import FileReadings
from spectro.readings.patches import label_positions, table_patches
from spectro.readings.statements import stated_scale
from spectro.readings.strips import chart_layout
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout

_GIVE = "Give the chart folder with --chart."


def layout_of(chart: Path | None, files: Sequence[FileReadings]) -> ChartLayout:
    """Return the chart's layout. chart: a folder with `chart.json`, that file, or a table of patches; None: as files say.

    Raises MeasurementFileError or InputError where there is no chart in it.
    """
    if chart is None:
        return _as_read(files)
    if chart.is_dir():
        for name in (CHART_FILE, "chart.txt"):
            if (chart / name).is_file():
                return layout_of(chart / name, files)
        raise MeasurementFileError(chart, 0, f"no {CHART_FILE}", "a chart folder", "Name the folder that `chart new` made.")
    data = read_bytes(chart)
    if data.lstrip()[:1] == b"{":
        made = parse_chart(data.decode("utf-8", "replace"), chart)
        return chart_layout(
            origin=str(chart.parent if chart.name == CHART_FILE else chart),
            chart_id=made.chart_id,
            colour_space=colour_space(made.channels),
            sample_ids=made.sample_ids,
            sample_names=made.sample_names,
            device=made.device,
            positions=made.positions,
        )
    return _from_table(chart)


def _from_table(path: Path) -> ChartLayout:
    tables = read_tables(path)
    if len(tables) > 1:
        raise MeasurementFileError(path, tables[1].fields_line, f"{len(tables)} tables", "one table of patches", _GIVE)
    patches = table_patches(tables[0], path)
    if patches.colour_space is None:
        raise MeasurementFileError(path, tables[0].fields_line, "no device values", "the table of a chart", _GIVE)
    ids = patches.ids or tuple(str(row + 1) for row in range(len(patches.lines)))
    if len(set(ids)) != len(ids):
        raise MeasurementFileError(path, 0, "a SAMPLE_ID twice", "each once in a chart", "Number the patches.")
    positions = patches.positions
    if not len(positions):
        positions = label_positions(patches.names)
    if not len(positions):
        positions = label_positions(ids)
    stated = next((entry.value for entry in tables[0].values("CHART_ID")), "")
    return chart_layout(
        origin=str(path),
        chart_id=stated,
        colour_space=patches.colour_space,
        sample_ids=ids,
        sample_names=patches.names,
        device=device_factors(patches, decided_scale([patches], [stated_scale(tables[0], path)], None)),
        positions=positions,
    )


def _as_read(files: Sequence[FileReadings]) -> ChartLayout:
    """Return the patches that files name themselves, each once."""
    ids: list[str] = []
    names: list[str] = []
    device: list[FloatArray] = []
    positions: list[IntArray] = []
    rows: dict[str, int] = {}
    placed = all(len(file.positions) for file in files)
    for file in files:
        if file.device is None or file.colour_space != files[0].colour_space:
            raise MeasurementFileError(
                file.path, 0, "no device values" if file.device is None else f"{file.colour_space} device values",
                "those of the chart, in each file alike", _GIVE,
            )  # fmt: skip
        own = file.ids or tuple(str(row + 1) for row in range(len(file)))
        for row, identity in enumerate(own):
            known = rows.setdefault(identity, len(ids))
            if known < len(ids):
                if np.abs(device[known] - file.device[row]).max() > 1e-6:
                    raise InputError(f"the id {identity} for different patches", "one patch an id", _GIVE)
                continue
            ids.append(identity)
            names.append(file.names[row])
            device.append(file.device[row])
            if placed:
                positions.append(file.positions[row])
    return chart_layout(
        origin="the files themselves",
        chart_id="",
        colour_space=str(files[0].colour_space),
        sample_ids=ids,
        sample_names=names,
        device=np.array(device),
        positions=np.array(positions, dtype=np.int64).reshape(-1, 3),
    )
