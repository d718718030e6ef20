"""The check of strips that every command runs before it uses readings: the one that `readings show` runs."""

from collections.abc import Hashable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.checks.gate import inks_of
from spectro.checks.neighbour_colours import standing_out
from spectro.checks.page_judging import judged_pages, page_strips
from spectro.checks.self_prediction import LEAST_RECIPES
from spectro.checks.strip_repairs import Bench
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.readings.intake import FileReadings
from spectro.readings.repeats import recipe_names
from spectro.readings.strip_join import Joined
from spectro.readings.strips import layout_of_files
from spectro.records.chart_layout import ChartLayout
from spectro.records.limits import Limits
from spectro.records.measurement import MeasurementSet
from spectro.records.readings_result import ReadingNote
from spectro.words.readings import reading_notes
from spectro.workflow.steps.judging import predicted_without, rough_bench


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtfulStrip:
    """One thing that looks misread, and the patches it concerns."""

    note: ReadingNote
    patches: tuple[str, ...]  # names, else ids; of the whole strip where the note names no patch


def doubtful_strips(measurements: MeasurementSet, limits: Limits) -> tuple[DoubtfulStrip, ...]:
    """Return what looks misread in readings of one print, held against one another; nothing where they cannot be.

    A rough look comes first: where no strip and no patch stands out in it, nothing else is done. limits: of the gate.
    """
    if not _can_be_held(measurements):
        return ()
    bench = bench_of(measurements)
    layout = bench.layout
    ink = inks_of(measurements.colour_space, measurements.device)
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    strip, patch = standing_out(ink, lab, [one.source[:, 1] for one in bench.strips])
    if strip <= limits["strip_stands_out"] and patch <= limits["patch_stands_out"]:
        return ()
    try:
        expected = predicted_without(layout.device, layout.colour_space, page_strips(bench.strips, bench.lab, layout))
    except InputError:  # too little in known places: the laws of prints tell of that
        return ()
    notes = reading_notes(judged_pages(bench.strips, bench.lab, layout, expected), bench.strips, layout)
    return tuple(DoubtfulStrip(note=note, patches=note.patches or patches_of(note, layout)) for note in notes)


def bench_of(measurements: MeasurementSet) -> Bench:
    """Return readings as strips of their own chart, each where it claims to be; a patch read again is another reading."""
    file = _as_file(measurements)
    layout = layout_of_files([file])
    place = {identity: row for row, identity in enumerate(layout.sample_ids)}
    rows = np.array([place[identity] for identity in file.ids or ()], dtype=np.int64)
    return rough_bench([file], [Joined(words="by id", rows=rows)], layout)


def _can_be_held(measurements: MeasurementSet) -> bool:
    """Whether there are enough different recipes, of all channels: a ramp of greys tells nothing of its strips."""
    device = measurements.device
    if len(set(recipe_names(device))) < LEAST_RECIPES:
        return False
    rank: int = np.linalg.matrix_rank(device - device.mean(axis=0), tol=1e-3)
    return bool(rank == device.shape[1])


def _as_file(measurements: MeasurementSet) -> FileReadings:
    recipes = recipe_names(measurements.device)
    own: dict[str, Hashable] = {}
    ids = []
    for row, (identity, recipe) in enumerate(zip(measurements.sample_ids, recipes, strict=True)):
        same = own.setdefault(identity, recipe) == recipe
        ids.append(identity if same else f"{identity} in row {row + 1}")
    return FileReadings(
        path=Path(measurements.origin or "readings"),
        sha256="",
        ids=tuple(ids),
        names=measurements.sample_names,
        colour_space=measurements.colour_space,
        device=measurements.device,
        positions=measurements.positions,
        wavelengths=measurements.wavelengths,
        reflectance=measurements.reflectance,
        condition=measurements.condition,
        backing=measurements.backing,
        created=measurements.created,
        instrument=measurements.instrument,
        description=measurements.description,
    )


def patches_of(note: ReadingNote, layout: ChartLayout) -> tuple[str, ...]:
    """Return the patches of the strip or page that a note is about, by their names, else ids."""
    rows = [
        row
        for strip in layout.strips
        if strip.page == note.page and note.strip in ("", strip.name)
        for row in strip.rows.tolist()
    ]
    return tuple(layout.patch_name(row) for row in rows)
