"""`spectro readings show`: what files of readings hold, and a picture of the pages as they were read."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from spectro.checks.predicted_colours import paper_device
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError, MeasurementFileError, SpectroError
from spectro.files.atomic import check_writable, write_whole
from spectro.readings.content import read_tables
from spectro.readings.intake import take_in
from spectro.readings.repeats import average_repeats
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings_sheet import DryingResult, ReadingsSheet, ReadingsShown, RepeatNote
from spectro.report.reading_notes import grouped_notes
from spectro.workflow.drying import followed_drying
from spectro.workflow.reading_numbers import evenness_notes, repeat_distances, repeat_noise_of
from spectro.workflow.readings_adding import judged_readings
from spectro.workflow.readings_words import missing_parts
from spectro.workflow.steps.chart_layout import layout_of

PICTURES = (".png", ".svg", ".html", ".pdf")
_MOST_REPEATS = 10
_HISTORY = ("CHART_ID", "PRINTED", "SOURCE_FILE", "REPAIRED", "LEFT_OPEN", "MERGED", "PRINT_CONDITIONS", "MATERIAL")
_SKIPPED = (".icc", ".icm", ".pdf", ".tif", ".tiff", ".png", ".jpg", ".svg", ".html", ".json", ".toml", ".py", ".md")


def readings_show(
    path: Path | None,
    *,
    chart: Path | None = None,
    predict_with: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    picture: Path | None = None,
    drying: Sequence[Path] = (),
    noise: float | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ReadingsShown:
    """Tell what a file of readings holds, or each file of a folder; draw its pages; tell whether a print still changes.

    picture: a .png, .svg or .html file to write. drying: two or more readings of the same patches, oldest first; noise:
    mean ΔE00 of one reading, where path has no repeats to tell it. Raises errors of `spectro.errors`; then nothing is
    written.
    """
    if picture is not None:
        if picture.suffix.lower() not in PICTURES:
            raise InputError(f"{picture}", f"a name that ends in {', '.join(PICTURES)}", "Correct --picture.")
        check_writable(picture, replace=replace)
    if path is None and not drying:
        raise InputError("no readings", "a file, a folder, or --drying with two files", "Name one.")
    sheets: list[ReadingsSheet] = []
    unread: list[tuple[str, str]] = []
    if path is not None and path.is_dir():
        files = sorted(one for one in path.iterdir() if one.is_file() and one.suffix.lower() not in _SKIPPED)
        for number, one in enumerate(files):
            progress(one.name, number / max(len(files), 1))
            try:
                sheets.append(_sheet(one, chart, predict_with, measurement_condition))
            except SpectroError as error:
                unread.append(
                    (one.name, str(error).replace(f"{one}:", "line " if f"{one}: " not in str(error) else "", 1).strip())
                )
        if not sheets:
            raise MeasurementFileError(
                path, 0, f"{len(files)} files, none of readings", "readings", "Name the folder that has them."
            )
    elif path is not None:
        progress(path.name, 0.1)
        sheets.append(_sheet(path, chart, predict_with, measurement_condition))
    changed = None
    if drying:
        known = noise
        words = "as given"
        if known is None and len(sheets) == 1 and sheets[0].repeat_noise is not None:
            known, words = sheets[0].repeat_noise, f"from repeats in {sheets[0].file}"
        changed = followed_drying(drying, known, words)
    verdict = _verdict(sheets, unread, changed)
    shown = ReadingsShown(
        verdict=verdict, sheets=tuple(sheets), unread=tuple(unread), picture=None if picture is None else str(picture),
        drying=changed,
    )  # fmt: skip
    if picture is not None:
        progress("drawing", 0.8)
        from spectro.report.readings_page import readings_picture

        write_whole(picture, readings_picture(shown, picture.suffix.lower()), replace=replace)
    progress("done", 1.0)
    return shown


def _sheet(path: Path, chart: Path | None, predict_with: Path | None, condition: MeasurementCondition | None) -> ReadingsSheet:
    taken = take_in([path], ReadingOptions(condition=condition))
    layout = layout_of(chart, taken)
    notes, measurements, expected_from = judged_readings(taken, layout, predict_with)
    repeats = average_repeats(measurements)
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    header = [(entry.keyword, entry.value) for table in read_tables(path)[:1] for entry in table.header]
    history = tuple((keyword, value) for keyword, value in header if keyword in _HISTORY)
    printed = next((value for keyword, value in history if keyword == "PRINTED"), "")
    nm = measurements.wavelengths
    paper = np.flatnonzero((measurements.device == paper_device(layout.colour_space, layout.device.shape[1])).all(axis=1))
    darkest = lab[int(np.argmin(lab[:, 0]))]
    rows = np.array([layout.sample_ids.index(identity) for identity in measurements.sample_ids])
    return ReadingsSheet(
        verdict=_sheet_verdict(path.name, measurements, len(grouped_notes(notes))),
        file=path.name,
        chart=layout.origin,
        chart_id=layout.chart_id or next((value for keyword, value in history if keyword == "CHART_ID"), ""),
        patches=len(measurements),
        recipes=len(repeats),
        chart_patches=len(layout),
        missing=missing_parts(rows, layout),
        colour_space=measurements.colour_space,
        condition=str(measurements.condition or "not stated"),
        backing=str(measurements.backing or "not stated"),
        instrument=measurements.instrument,
        description=measurements.description,
        created=measurements.created or "",
        printed=printed,
        first_nm=float(nm[0]),
        last_nm=float(nm[-1]),
        step_nm=float(nm[1] - nm[0]),
        paper_lab=_three(lab[paper].mean(axis=0)) if len(paper) else None,
        black_lab=_three(darkest),
        repeat_noise=None if notes else repeat_noise_of(measurements),
        repeats=len(repeats.repeated),
        worst_repeats=() if notes else _worst_repeats(measurements),
        evenness=() if notes else evenness_notes(measurements),
        expected_from=expected_from,
        notes=notes,
        history=history,
        measurements=measurements,
        lab=lab,
        layout=layout,
    )


def _three(lab: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> tuple[float, float, float]:
    lightness, a, b = (float(value) for value in lab)
    return lightness, a, b


def _worst_repeats(measurements: MeasurementSet) -> tuple[RepeatNote, ...]:
    distance = repeat_distances(measurements)
    found = []
    for row in np.argsort(-np.nan_to_num(distance, nan=-1.0), kind="stable")[:_MOST_REPEATS].tolist():
        if not np.isfinite(distance[row]):
            break
        place = measurements.positions[row] if len(measurements.positions) else None
        found.append(
            RepeatNote(
                patch=measurements.sample_names[row] or measurements.sample_ids[row],
                place="" if place is None else f"page {place[0]}, row {place[1]}, column {place[2]}",
                delta_e_2000=float(distance[row]),
            )
        )
    return tuple(found)


def _sheet_verdict(name: str, measurements: MeasurementSet, questionable: int) -> str:
    under = f", read under {measurements.condition}" if measurements.condition else ", measurement condition not stated"
    if not questionable:
        return f"{name}: {len(measurements)} readings{under}; nothing looks misread."
    things = "one thing looks" if questionable == 1 else f"{questionable} things look"
    return f"{name}: {len(measurements)} readings{under}; {things} misread."


def _verdict(sheets: Sequence[ReadingsSheet], unread: Sequence[tuple[str, str]], drying: DryingResult | None) -> str:
    if len(sheets) == 1 and not unread:
        return sheets[0].verdict
    if not sheets:
        return drying.verdict if drying else ""
    doubtful = sum(bool(sheet.notes) for sheet in sheets)
    words = f"{len(sheets)} files of readings, {sum(sheet.patches for sheet in sheets)} in all"
    words += f"; {doubtful} with something that looks misread" if doubtful else "; nothing looks misread"
    return words + (f"; {len(unread)} other file{'s' if len(unread) > 1 else ''} could not be read." if unread else ".")
