"""A chart as its readings are joined with it: its patches, and the strips they form by page and column, else in pieces."""

import logging
from collections.abc import Hashable, Sequence
from pathlib import Path

import numpy as np

from spectro.errors import InputError, MeasurementFileError
from spectro.readings.chart_lists import read_chart_lists
from spectro.readings.intake import FileReadings
from spectro.readings.labels import strip_label
from spectro.readings.repeats import recipe_names
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart_layout import ChartLayout, StripPlace, frozen_strip

_LOG = logging.getLogger("spectro")
_GIVE = "Give the chart folder with `chart`."
PIECE = 20  # rows of a strip where the layout is not known


def chart_layout(
    *,
    origin: str,
    chart_id: str,
    colour_space: str,
    sample_ids: Sequence[str],
    sample_names: Sequence[str],
    device: FloatArray,
    positions: IntArray,
) -> ChartLayout:
    """Return the layout of patches: device (n, channels), 0 to 1; positions (n, 3) page, row, column from 1, or (0, 3)."""
    strips = _by_column(sample_names, positions) if len(positions) else _pieces(len(device))
    return ChartLayout(
        origin=origin,
        chart_id=chart_id,
        colour_space=colour_space,
        sample_ids=tuple(sample_ids),
        sample_names=tuple(sample_names),
        device=device,
        positions=positions,
        strips=strips,
    )


def layout_of_table(path: Path) -> ChartLayout:
    """Return the layout of the chart that a list of patches tells, read as `chart adopt` reads it.

    Raises MeasurementFileError where it is not the list of one chart, and for an id that stands for two patches which no
    names tell apart.
    """
    listed = read_chart_lists([path])
    for note in listed.notes:
        _LOG.info("%s: %s", path, note)
    return chart_layout(
        origin=str(path),
        chart_id=listed.chart_id,
        colour_space=listed.colour_space,
        sample_ids=listed.sample_ids,
        sample_names=listed.sample_names,
        device=listed.device,
        positions=listed.places,
    )


def layout_of_files(files: Sequence[FileReadings]) -> ChartLayout:
    """Return the layout of the patches that files name themselves, each once.

    Where an id stands for two patches and names tell all of them apart, these are their ids. Raises MeasurementFileError for
    files without device values, InputError for an id that stands for two patches otherwise.
    """
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
    own = [file.ids or tuple(str(row + 1) for row in range(len(file))) for file in files]
    recipes = [recipe_names(file.device) for file in files if file.device is not None]
    doubled = _doubled(own, recipes)
    if doubled:
        own = [file.names for file in files]
        if not all(name for each in own for name in each) or _doubled(own, recipes):
            raise InputError(f"the id {doubled} for different patches", "one patch an id", _GIVE)
    for file, identities in zip(files, own, strict=True):
        for row, identity in enumerate(identities):
            if rows.setdefault(identity, len(ids)) < len(ids) or file.device is None:
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


def _doubled(identities: Sequence[Sequence[str]], recipes: Sequence[Sequence[Hashable]]) -> str:
    """Return the first id that stands for two recipes, in any of the files; "" where none does."""
    found: dict[str, Hashable] = {}
    for each, those in zip(identities, recipes, strict=True):
        for identity, recipe in zip(each, those, strict=True):
            if found.setdefault(identity, recipe) != recipe:
                return identity
    return ""


def _by_column(names: Sequence[str], positions: IntArray) -> tuple[StripPlace, ...]:
    order = np.lexsort((positions[:, 1], positions[:, 2], positions[:, 0]))
    keys = positions[order][:, [0, 2]]
    starts = np.flatnonzero(np.concatenate([[True], (keys[1:] != keys[:-1]).any(axis=1)]))
    found = []
    taken: set[str] = set()
    for rows in np.split(order, starts[1:]):
        page, _, column = (int(value) for value in positions[rows[0]])
        labels = {strip_label(names[row]) for row in rows.tolist()}
        label = labels.pop() if len(labels) == 1 else ""
        name = label if label and label not in taken else f"{page}/{column}"
        taken.add(name)
        found.append(frozen_strip(name, page, rows))
    return tuple(found)


def _pieces(count: int) -> tuple[StripPlace, ...]:
    cuts = np.split(np.arange(count), np.arange(PIECE, count, PIECE))
    return tuple(frozen_strip(f"rows {rows[0] + 1}-{rows[-1] + 1}", 1, rows) for rows in cuts if len(rows))
