"""Readings of control prints from files: with spectra or with Lab alone, with device values or joined by row."""

import re
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from spectro.errors import InputError, SpectroError
from spectro.readings.load import AS_STATED, load_any_readings, readings_lab
from spectro.readings.one_condition import (
    BarePaper,
    bare_paper,
    check_labels,
    check_one_condition,
    glow_between,
    whites_by_lab,
)
from spectro.readings.repeats import recipe_names
from spectro.records.conditions import MeasurementCondition
from spectro.records.drift import ControlReading
from spectro.records.reading_options import Join, ReadingOptions
from spectro.records.readings import Readings
from spectro.records.shown_text import shown_name
from spectro.standards.limits import shipped_limits

_DATE = re.compile(r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)")
LEAST_PATCHES = 12
_NOT_READINGS = {".html", ".json", ".pdf", ".png", ".toml", ".md", ".icc", ".icm", ".tif", ".tiff"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FileReading:
    """One file of control readings, with what joins and messages need beside the colours."""

    path: Path
    reading: ControlReading
    ids: tuple[str, ...]
    condition: MeasurementCondition | None
    found: Readings  # as the file has them
    paper: BarePaper | None = None  # None: no spectra


def load_control(path: Path, options: ReadingOptions = AS_STATED) -> FileReading:
    """Read one file. Lab is computed from spectra where there are some (D50, 2°), else taken from the file.

    The date is the file's own, else one in its name such as 2026-01-31, else none. Raises errors of `spectro.errors`.
    """
    found = load_any_readings([path], options)
    date = found.created or _date_in(path.name)
    return FileReading(
        path=path,
        reading=ControlReading(
            lab=readings_lab(found),
            device=found.device,
            colour_space=found.colour_space or None,
            date=datetime.fromisoformat(date) if date else None,
            origin=shown_name(path),
            positions=found.positions,
        ),
        ids=found.sample_ids,
        condition=found.condition,
        paper=bare_paper(found),
        found=found,
    )


def _date_in(name: str) -> str | None:
    found = _DATE.search(name)
    if found is None:
        return None
    try:
        return datetime(int(found[1]), int(found[2]), int(found[3]), tzinfo=UTC).isoformat()
    except ValueError:
        return None


def history_files(folder: Path, besides: Sequence[Path]) -> tuple[Path, ...]:
    """Return the files of readings in a folder, by name, without those named elsewhere. Raises InputError for no folder."""
    if not folder.is_dir():
        raise InputError(f"no folder {folder}", "a folder of dated readings", "Check `history`.")
    known = {path.resolve() for path in besides}
    return tuple(
        path
        for path in sorted(folder.iterdir())
        if path.is_file()
        and not path.name.startswith(".")
        and path.suffix.lower() not in _NOT_READINGS
        and path.resolve() not in known
    )


def load_history(paths: Sequence[Path], options: ReadingOptions) -> tuple[tuple[FileReading, ...], tuple[SpectroError, ...]]:
    """Read files of a history folder. Returns the readings, and for each file that is none what is wrong with it."""
    found, wrong = [], []
    for path in paths:
        try:
            found.append(load_control(path, options))
        except SpectroError as error:
            wrong.append(error)
    return tuple(found), tuple(wrong)


def of_the_same_print(
    reference: FileReading, history: Sequence[FileReading], join: Join | None
) -> tuple[tuple[FileReading, ...], tuple[tuple[Path, str], ...]]:
    """Return the files of a history that hold the reference's patches, and for each other its path and what it holds."""
    kept, others = [], []
    for one in history:
        try:
            join_prints(reference, [one], join)
        except InputError as error:
            others.append((one.path, error.found))
        else:
            kept.append(one)
    return tuple(kept), tuple(others)


def join_prints(reference: FileReading, checks: Sequence[FileReading], join: Join | None) -> tuple[list[ControlReading], Join]:
    """Return the reference and the checks with the same patches in the reference's order, and how they were joined.

    join: None: by device values where all files have them, else by row. Repeats of a patch are averaged where joined by
    id or device values. Raises InputError where fewer than twelve patches are the same.
    """
    every = [reference, *checks]
    _check_conditions(every)
    if join is None:
        join = Join.DEVICE if all(one.reading.colour_space for one in every) else Join.ROW
    if join is Join.ROW:
        for one in checks:
            if len(one.reading) != len(reference.reading):
                raise InputError(
                    f"{len(one.reading)} rows in {one.path} and {len(reference.reading)} in {reference.path}",
                    "the same patches in the same order",
                    "Give the chart's table with `chart`, or choose `join` id.",
                )
        known = next((one.reading for one in every if one.reading.colour_space), None)
        device, space = (known.device, known.colour_space) if known else (reference.reading.device, None)
        return [replace(one.reading, device=device, colour_space=space) for one in every], join
    keyed = [_keyed(one, join) for one in every]
    common = [key for key in keyed[0] if all(key in other for other in keyed[1:])]
    if len(common) < LEAST_PATCHES:
        raise InputError(
            f"{len(common)} patches that are in all files",
            f"{LEAST_PATCHES} or more of the same {'device values' if join is Join.DEVICE else 'ids'}",
            "Read the same control print each time, or choose `join` row where rows are the same patches.",
        )
    readings = []
    for one, rows in zip(every, keyed, strict=True):
        lab = np.stack([one.reading.lab[rows[key]].mean(axis=0) for key in common])
        first = [rows[key][0] for key in common]
        places = one.reading.positions[first] if len(one.reading.positions) else one.reading.positions
        readings.append(replace(one.reading, lab=lab, device=one.reading.device[first], positions=places))
    return readings, join


def _check_conditions(every: Sequence[FileReading]) -> None:
    stated = [one for one in every if one.condition]
    for one in stated:
        if one.condition != stated[0].condition:
            raise InputError(
                f"{one.condition} in {one.path} and {stated[0].condition} in {stated[0].path}",
                "one measurement condition",
                "Readings of two conditions differ by the paper's brightener, not by drift. Read again under the same one.",
            )
    for one in every[1:]:
        check_one_condition([every[0].paper, one.paper])
    check_labels([one.paper for one in every])
    spaces = {one.reading.colour_space for one in every if one.reading.colour_space}
    if len(spaces) > 1:
        raise InputError(f"device values of {' and '.join(sorted(map(str, spaces)))}", "one kind", "Choose other files.")


def _keyed(one: FileReading, join: Join) -> dict[Hashable, list[int]]:
    rows: dict[Hashable, list[int]] = {}
    if join is Join.DEVICE and one.reading.colour_space is None:
        raise InputError(f"no device values in {one.path}", "device values, or `chart`", "Choose `join` row or `join` id.")
    keys: Sequence[Hashable] = recipe_names(one.reading.device) if join is Join.DEVICE else one.ids
    for row, key in enumerate(keys):
        rows.setdefault(key, []).append(row)
    return rows


def glow_changed(reference: FileReading, newest: FileReading) -> bool:
    """Whether the bare paper changed as between readings with and without ultraviolet, by spectra or by Lab alone."""
    limits = shipped_limits("condition")
    if reference.paper is not None and newest.paper is not None:
        first, second = reference.paper, newest.paper
        if not np.array_equal(first.wavelengths, second.wavelengths):
            return False
        papers = first.reflectance.mean(axis=0), second.reflectance.mean(axis=0)
        return abs(glow_between(*papers, first.wavelengths, limits["glow_share"])) > limits["glow_apart"]
    lightest = [one.reading.lab[int(np.argmax(one.reading.lab[:, 0]))] for one in (reference, newest)]
    return whites_by_lab(*lightest)
