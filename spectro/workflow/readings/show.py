"""`spectro readings show`: what files of readings hold, and a picture of the pages as they were read."""

import itertools
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from spectro.checks.page_judging import judged_pages
from spectro.checks.predicted_colours import PredictedColours, paper_device
from spectro.checks.reading_merging import APART, merge_strips
from spectro.checks.repeatability import drying as change_between
from spectro.checks.sheet_repeats import page_evenness_notes, repeat_noise_of, worst_repeats
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.content import read_tables
from spectro.readings.intake import FileReadings, take_in
from spectro.readings.load import AS_STATED, load_spectra
from spectro.readings.repeats import average_repeats, same_patches
from spectro.records.arrays import triple
from spectro.records.chart_layout import ChartLayout
from spectro.records.measurement import MeasurementSet
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.records.readings_result import ReadingNote
from spectro.records.readings_sheet import DryingResult, DryingStep, ReadingsSheet, ReadingsShown
from spectro.records.shown_text import shown_name
from spectro.standards.limits import Tolerances, check_bounds, shipped_limits
from spectro.words.even_pages import trend_notes
from spectro.words.gate import gate_words, with_insisted
from spectro.words.limits import own_in
from spectro.words.quality import without_word
from spectro.words.readings import NOISE_ASSUMED, drying_verdict, reading_notes, sheet_verdict, showing_verdict
from spectro.workflow.steps.even_pages import expected_trends
from spectro.workflow.steps.gate import doubt_findings, gate_findings, of_notes
from spectro.workflow.steps.joining import join_files
from spectro.workflow.steps.judging import doubted_patches, expected_colours, layout_of, measurements_of, rough_bench

PICTURES = (".png", ".svg", ".html", ".pdf")
_HISTORY = ("CHART_ID", "PRINTED", "SOURCE_FILE", "REPAIRED", "LEFT_OPEN", "MERGED", "PRINT_CONDITIONS", "MATERIAL")
_SKIPPED = (".icc", ".icm", ".pdf", ".tif", ".tiff", ".png", ".jpg", ".svg", ".html", ".json", ".toml", ".py", ".md")


@keeps_what_it_reads("picture")
def readings_show(
    path: Path | None,
    *,
    options: ReadingOptions = AS_STATED,
    predict_with: Path | None = None,
    picture: Path | None = None,
    drying: Sequence[Path] = (),
    noise: float | None = None,
    tolerances: Tolerances | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ReadingsShown:
    """Tell what a file of readings holds, or each file of a folder; draw its pages; tell whether a print still changes.

    options: how files are read. predict_with: a profile or earlier readings of this printing condition. picture: a .png,
    .svg, .html or .pdf file to write. drying: two or more readings of the same patches, oldest first; noise: mean ΔE00 of
    one reading, where path has no repeats to tell it.
    tolerances: limits of the gate; None: those shipped. Raises errors of `spectro.errors`; then nothing is written.
    """
    if picture is not None:
        if picture.suffix.lower() not in PICTURES:
            raise InputError(f"{picture}", f"a name that ends in {', '.join(PICTURES)}", "Correct `picture`.")
        check_writable(picture, replace=replace)
    if path is None and not drying:
        raise InputError("no readings", "a file, a folder, or `drying` with two files", "Name one.")
    sheets: list[ReadingsSheet] = []
    unread: list[tuple[str, str]] = []
    if path is not None and path.is_dir():
        sheets, unread = _folder(path, options, predict_with, tolerances, progress)
    elif path is not None:
        progress(path.name, 0.1)
        sheets = [_sheet(path, options, predict_with, tolerances)]
    changed = None
    if drying:
        known = noise
        words = "as given"
        if known is None and len(sheets) == 1 and sheets[0].repeat_noise is not None:
            known, words = sheets[0].repeat_noise, f"from repeats in {sheets[0].file}"
        changed = follow_drying(drying, known, words)
    shown = ReadingsShown(
        verdict=showing_verdict(sheets, len(unread), changed),
        sheets=tuple(sheets),
        unread=tuple(unread),
        picture=None if picture is None else str(picture),
        drying=changed,
        cautions=own_in(tolerances, "gate"),
    )
    if picture is not None:
        progress("drawing", 0.8)
        from spectro.report.readings_document import readings_picture

        write_whole(picture, readings_picture(shown, picture.suffix.lower()), replace=replace)
    progress("done", 1.0)
    return shown


def _folder(
    folder: Path, options: ReadingOptions, predict_with: Path | None, tolerances: Tolerances | None, progress: Progress
) -> tuple[list[ReadingsSheet], list[tuple[str, str]]]:
    """Return the files of readings in a folder by name, and the others with the reason each. Raises where none is."""
    sheets: list[ReadingsSheet] = []
    unread: list[tuple[str, str]] = []
    files = sorted(one for one in folder.iterdir() if one.is_file() and one.suffix.lower() not in _SKIPPED)
    for number, one in enumerate(files):
        progress(one.name, number / max(len(files), 1))
        try:
            sheets.append(_sheet(one, options, predict_with, tolerances))
        except SpectroError as error:
            why = str(error).replace(f"{one}:", "line " if f"{one}: " not in str(error) else "", 1).strip()
            unread.append((one.name, why))
    if not sheets:
        raise MeasurementFileError(
            folder, 0, f"{len(files)} files, none of readings", "readings", "Name the folder that has them."
        )
    return sheets, unread


def _sheet(path: Path, options: ReadingOptions, predict_with: Path | None, tolerances: Tolerances | None) -> ReadingsSheet:
    taken = take_in([path], options)
    layout = layout_of(options.chart, taken)
    notes, measurements, expected, doubted = _judged(taken, layout, predict_with, options.row_order)
    rows = np.array([layout.sample_ids.index(identity) for identity in measurements.sample_ids])
    even = None if notes or expected is None else expected_trends(measurements, rows, expected)
    notes = (*notes, *trend_notes(even))
    report, strips = of_notes(measurements, notes, layout, tolerances)
    notes = tuple(one.note for one in strips)
    faulty, insist = report.stops or bool(notes), options.insist.strip()
    gate = (*gate_findings(report, strips, insist if faulty else ""), *doubt_findings(measurements, doubted))
    apart = 0.0 if expected is None or expected.tells_sheet_faults else expected.noise
    verdict = sheet_verdict(shown_name(path), len(measurements), measurements.condition, notes, apart, even=even)
    told = (
        with_insisted(gate, verdict)
        if insist or not faulty
        else f"{gate_words(report, shown_name(path), notes)} {without_word(verdict)}"
    )
    repeats = average_repeats(measurements)
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    header = dict.fromkeys((entry.keyword, entry.value) for table in read_tables(path) for entry in table.header)
    history = tuple((keyword, value) for keyword, value in header if keyword in _HISTORY)
    nm = measurements.wavelengths
    paper = np.flatnonzero((measurements.device == paper_device(layout.colour_space, layout.device.shape[1])).all(axis=1))
    return ReadingsSheet(
        verdict=told,
        file=shown_name(path),
        chart=layout.origin,
        chart_id=layout.chart_id or next((value for keyword, value in history if keyword == "CHART_ID"), ""),
        patches=len(measurements),
        recipes=len(repeats),
        chart_patches=len(layout),
        missing=layout.missing_parts(rows),
        colour_space=measurements.colour_space,
        condition=str(measurements.condition or "not stated"),
        backing=str(measurements.backing or "not stated"),
        instrument=measurements.instrument,
        description=measurements.description,
        created=measurements.created or "",
        printed=next((value for keyword, value in history if keyword == "PRINTED"), ""),
        first_nm=float(nm[0]),
        last_nm=float(nm[-1]),
        step_nm=float(nm[1] - nm[0]),
        paper_lab=triple(lab[paper].mean(axis=0)) if len(paper) else None,
        black_lab=triple(lab[int(np.argmin(lab[:, 0]))]),
        repeat_noise=None if notes else repeat_noise_of(measurements),
        repeats=len(repeats.repeated),
        worst_repeats=() if notes else worst_repeats(measurements),
        evenness=() if notes else page_evenness_notes(measurements),
        even=even,
        expected_from="" if expected is None else expected.origin,
        notes=notes,
        gate=gate,
        faulty=faulty and not insist,
        history=history,
        measurements=measurements,
        lab=lab,
        layout=layout,
    )


def _judged(
    taken: Sequence[FileReadings], layout: ChartLayout, predict_with: Path | None, order: str
) -> tuple[tuple[ReadingNote, ...], MeasurementSet, PredictedColours | None, tuple[str, ...]]:
    """Return what looks misread, the readings as the chart's, each by itself, what was expected of them, and doubts."""
    bench = rough_bench(taken, join_files(taken, layout, (), order), layout)
    try:
        expected = expected_colours(predict_with, bench, taken[0].condition)
    except InputError:
        if predict_with is not None:
            raise
        expected = None  # inks that no one knows, and too few patches: nothing to compare them with
    notes: tuple[ReadingNote, ...] = ()
    lab, paper = np.zeros((len(layout), 3)), np.zeros(3)
    if expected is not None:
        notes = reading_notes(judged_pages(bench.strips, bench.lab, layout, expected), bench.strips, layout)
        lab, paper = expected.lab, expected.paper
    together = merge_strips(bench.strips, taken, layout, how=APART, expected=lab, paper=paper)
    return notes, measurements_of(together, taken, layout), expected, doubted_patches(bench, taken, layout)


def follow_drying(files: Sequence[Path], noise: float | None, noise_from: str) -> DryingResult:
    """Return how the same patches changed from file to file, oldest first; two files or more, five patches or more.

    noise: mean ΔE00 of one reading; None: an assumed one. Patches are matched by id.
    Raises InputError or MeasurementFileError where files do not hold the same patches.
    """
    if len(files) < 2:
        raise InputError("one reading for `drying`", "two or more of the same patches, oldest first", "Read them again later.")
    if noise is not None:
        check_bounds("drying_noise", noise, f"noise {noise:g}", "Correct `noise`.")
    known = shipped_limits("readings")["noise_assumed"] if noise is None else noise
    steps = [_step(one, two, known) for one, two in itertools.pairwise(load_spectra([path]) for path in files)]
    return DryingResult(
        verdict=drying_verdict(steps[-1]),
        noise=known,
        noise_from=NOISE_ASSUMED if noise is None else noise_from,
        steps=tuple(steps),
    )


def _step(first: Readings, second: Readings, noise: float) -> DryingStep:
    mine, theirs = same_patches(first, second)
    found = change_between(first.reflectance[mine], second.reflectance[theirs], first.wavelengths, noise=noise)
    return DryingStep(
        first=first.origin, second=second.origin, patches=len(mine), change=found.change, limit=found.limit, dry=found.dry
    )
