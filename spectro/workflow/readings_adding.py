"""`spectro readings add`: finished files of readings joined with their chart, judged, repaired on request, and kept."""

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from spectro.checks.misread_findings import Offer, Seems
from spectro.checks.predicted_colours import PredictedColours
from spectro.checks.strip_cutting import cut_strips, likened
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.cgats import pack_cgats
from spectro.files.cgats_table import CgatsTable
from spectro.files.text_lines import MAX_BYTES
from spectro.readings.intake import FileReadings, take_in
from spectro.readings.read_strips import Cut, ReadStrip, read_strips, spectra_of
from spectro.readings.strip_join import Joined, joined
from spectro.readings.write import measurement_table
from spectro.records.arrays import FloatArray
from spectro.records.chart_layout import ChartLayout
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings_result import ReadingNote, ReadingsResult, SourceFile
from spectro.workflow.reading_merging import APART, AVERAGE, Merged, merged
from spectro.workflow.reading_numbers import evenness_notes, repeat_noise_of
from spectro.workflow.reading_repairs import Bench, Repairs, accept, repair
from spectro.workflow.readings_words import adding_cautions, adding_verdict, missing_parts, output_name
from spectro.workflow.steps.chart_layout import layout_of
from spectro.workflow.strip_judging import judged_pages, notes_of, page_strips
from spectro.workflow.strip_predictions import generic_lab, predicted_from, predicted_without

_LOG = logging.getLogger("spectro")
MOST_CUT = 3000  # patches of a chart whose strips are cut anew; it takes a second a thousand
_MOST_ROUNDS = 3  # of accepting offers and judging again


def readings_add(
    files: Sequence[Path],
    *,
    chart: Path | None = None,
    predict_with: Path | None = None,
    out: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    printed: str = "",
    pages: Sequence[int] = (),
    merge: str = AVERAGE,
    repairs: Repairs | None = None,
    keep_anyway: bool = False,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    max_bytes: int = MAX_BYTES,
    replace_existing: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ReadingsResult:
    """Take in files of one or more pages, sheets or readings of one chart, and write one canonical file of readings.

    chart: its folder or table; None: the files hold device values. predict_with: a profile or earlier readings of this
    printing condition; None: the readings predict one another. pages: which page each file holds, where nothing tells.
    merge: "average" where several readings agree, "apart", or the number of the one to keep. printed: ISO date.
    Nothing is written while something is open, unless keep_anyway. Raises errors of `spectro.errors` for bad input.
    """
    wanted = repairs or Repairs()
    if out is not None:
        check_writable(out, replace=replace_existing)
    progress("reading files", 0.0)
    options = ReadingOptions(condition=measurement_condition, device_scale=device_scale, columns=columns or {})
    taken = take_in(files, options, max_bytes=max_bytes)
    layout = layout_of(chart, taken)
    joins = _joins(taken, layout, pages)
    bench = _bench(taken, joins, layout, _cutter(taken, layout, generic_lab(layout.device, layout.colour_space), rough=True))
    progress("expected colours", 0.15)
    expected = _expected(predict_with, bench.strips, bench.lab, layout, taken)
    progress("judging strips", 0.6)
    joins, bench = _cut_by_colours(taken, joins, layout, bench, expected)
    repair(bench, wanted, expected.lab, expected.paper)
    judged = judged_pages(bench.strips, bench.lab, layout, expected)
    for _ in range(_MOST_ROUNDS if wanted.accept_offers else 0):
        if not accept(bench, judged, expected.lab, expected.paper) or not bench.strips:
            break
        judged = judged_pages(bench.strips, bench.lab, layout, expected)
    if not bench.strips:
        raise InputError("no strip left", "at least one", "Leave fewer out, or read the chart again.")
    notes = _of_what_is_kept(notes_of(judged, bench.strips, layout), merge, bench)
    notes = _nothing_twice(notes, wanted.tried())
    progress("merging", 0.85)
    together = merged(bench.strips, taken, layout, how=merge, expected=expected.lab, paper=expected.paper)
    resolved = not notes and together.resolved
    measurements = _measurements(together, taken, layout)
    place = out or Path(output_name(measurements, layout))
    keep = resolved or keep_anyway
    result = ReadingsResult(
        verdict="",
        out=str(place) if keep else None,
        chart=layout.origin,
        chart_id=layout.chart_id,
        patches=len(np.unique(together.rows)),
        chart_patches=len(layout),
        missing=missing_parts(together.rows, layout),
        condition=str(measurements.condition or "not stated"),
        sources=tuple(
            SourceFile(name=file.path.name, sha256=file.sha256, readings=len(file), joined=join.words)
            for file, join in zip(taken, joins, strict=True)
        ),
        expected_from=expected.origin,
        expected_noise=expected.noise,
        sheet_faults_told=expected.tells_sheet_faults,
        notes=notes,
        repairs=tuple(bench.done),
        merged=together.note,
        repeat_noise=repeat_noise_of(measurements) if not notes else None,
        evenness=evenness_notes(measurements) if not notes else (),
        cautions=(),
        resolved=resolved,
        measurements=measurements,
    )
    result = replace(result, verdict=adding_verdict(result), cautions=adding_cautions(result))
    if keep:
        _write(result, measurements, place, printed, replace_existing)
    progress("done", 1.0)
    return result


def judged_readings(
    taken: Sequence[FileReadings], layout: ChartLayout, predict_with: Path | None
) -> tuple[tuple[ReadingNote, ...], MeasurementSet, str]:
    """Return what looks misread, the readings as the chart's, each by itself, and where expected colours come from."""
    joins = _joins(taken, layout, ())
    bench = _bench(taken, joins, layout, _cutter(taken, layout, generic_lab(layout.device, layout.colour_space), rough=True))
    try:
        expected = _expected(predict_with, bench.strips, bench.lab, layout, taken)
    except InputError:
        if predict_with is not None:
            raise
        expected = None  # inks that no one knows, and too few patches: nothing to hold against them
    notes: tuple[ReadingNote, ...] = ()
    lab, paper = np.zeros((len(layout), 3)), np.zeros(3)
    if expected is not None:
        notes = notes_of(judged_pages(bench.strips, bench.lab, layout, expected), bench.strips, layout)
        lab, paper = expected.lab, expected.paper
    together = merged(bench.strips, taken, layout, how=APART, expected=lab, paper=paper)
    return notes, _measurements(together, taken, layout), expected.origin if expected is not None else ""


def _nothing_twice(notes: tuple[ReadingNote, ...], tried: frozenset[str]) -> tuple[ReadingNote, ...]:
    """Return the notes; where one offers what was just done, it says so and offers to read again."""
    found = []
    for note in notes:
        if note.option in tried:
            name = note.option.split()[1].split(",")[0].split("=")[0]
            rest = f"--leave-out {name}" if note.strip else ""
            words = f"{note.sentence.rstrip('.')}; {note.option} was tried and does not help."
            note = replace(note, offer=str(Offer.READ_AGAIN), option=rest, sentence=words)
        found.append(note)
    return tuple(found)


def _of_what_is_kept(notes: tuple[ReadingNote, ...], merge: str, bench: Bench) -> tuple[ReadingNote, ...]:
    """Return the notes that concern the result: those of one reading where it alone is kept and holds every patch."""
    if not merge.isdigit():
        return notes
    rows = {reading: set() for reading in {strip.reading for strip in bench.strips}}  # type: dict[int, set[int]]
    for strip in bench.strips:
        rows[strip.reading].update(strip.targets.tolist())
    whole = rows.get(int(merge), set()) >= set().union(*rows.values())
    return tuple(note for note in notes if note.reading == int(merge)) if whole else notes


def _joins(taken: Sequence[FileReadings], layout: ChartLayout, pages: Sequence[int]) -> list[Joined]:
    if pages and len(pages) != len(taken):
        raise InputError(f"{len(pages)} pages for {len(taken)} files", "one page a file", "Correct --pages.")
    wrong = [page for page in pages if page not in layout.pages]
    if wrong:
        raise InputError(f"page {wrong[0]}", f"a page of the chart, 1 to {max(layout.pages)}", "Correct --pages.")
    joins: list[Joined] = []
    used: list[int] = []
    for number, file in enumerate(taken):
        join = joined(file, layout, used, pages[number] if pages else None)
        used += join.strips
        joins.append(join)
        _LOG.info("%s: joined with %s %s", file.path, layout.origin, join.words)
    return joins


def _bench(taken: Sequence[FileReadings], joins: Sequence[Joined], layout: ChartLayout, cut: Cut) -> Bench:
    strips = read_strips(taken, joins, layout, cut)
    lab = [spectra_to_lab(spectra_of(strip, taken), taken[0].wavelengths) for strip in strips]
    return Bench(strips=list(strips), lab=lab, layout=layout)


def _cutter(taken: Sequence[FileReadings], layout: ChartLayout, expected: FloatArray | None, *, rough: bool = False) -> Cut:
    def cut(file: FileReadings, places: Sequence[int]) -> tuple[int, ...]:
        if expected is None:
            raise InputError(
                f"{len(file)} readings in {file.path}", f"{sum(len(layout.strips[p].rows) for p in places)}",
                "Export them with ids, so that they can be joined with the chart.",
            )  # fmt: skip
        lab = spectra_to_lab(file.reflectance, taken[0].wavelengths)
        strips = [expected[layout.strips[place].rows] for place in places]
        if rough:
            together = likened(np.concatenate(strips), lab)
            strips = np.split(together, np.cumsum([len(strip) for strip in strips])[:-1])
        return cut_strips(lab, strips, lab[int(np.argmax(lab[:, 0]))])

    return cut


def _cut_by_colours(
    taken: Sequence[FileReadings], joins: list[Joined], layout: ChartLayout, bench: Bench, expected: PredictedColours
) -> tuple[list[Joined], Bench]:
    """Return joins and strips, cut anew where readings joined by order run on shifted from strip to strip."""
    notes = notes_of(judged_pages(bench.strips, bench.lab, layout, expected), bench.strips, layout)
    if sum(note.seems == Seems.SHIFTED_PATCHES for note in notes) < 2 or len(layout) > MOST_CUT:
        return joins, bench
    shifted = {(note.reading, note.strip) for note in notes if note.seems == Seems.SHIFTED_PATCHES}
    touched = {int(strip.source[0, 0]) for strip in bench.strips if (strip.reading, layout.strips[strip.place].name) in shifted}
    again = [
        replace(join, rows=None, words=f"{join.words}, cut by colours where patches are missing or doubled")
        if number in touched and join.strips
        else join
        for number, join in enumerate(joins)
    ]
    anew = _bench(taken, again, layout, _cutter(taken, layout, expected.lab))
    left = notes_of(judged_pages(anew.strips, anew.lab, layout, expected), anew.strips, layout)
    return (again, anew) if len(left) < len(notes) else (joins, bench)


def _expected(
    predict_with: Path | None,
    strips: Sequence[ReadStrip],
    lab: Sequence[FloatArray],
    layout: ChartLayout,
    taken: Sequence[FileReadings],
) -> PredictedColours:
    if predict_with is not None:
        return predicted_from(predict_with, layout.device, layout.colour_space, taken[0].condition)
    return predicted_without(layout.device, layout.colour_space, page_strips(strips, lab, layout))


def _measurements(together: Merged, taken: Sequence[FileReadings], layout: ChartLayout) -> MeasurementSet:
    rows = together.rows
    dates = [file.created for file in taken if file.created]
    backings = {file.backing for file in taken}
    return MeasurementSet(
        sample_ids=tuple(layout.sample_ids[row] for row in rows.tolist()),
        sample_names=tuple(layout.sample_names[row] for row in rows.tolist()),
        colour_space=layout.colour_space,
        device=layout.device[rows],
        wavelengths=taken[0].wavelengths,
        reflectance=together.reflectance,
        condition=taken[0].condition,
        backing=backings.pop() if len(backings) == 1 else None,
        created=max(dates) if dates else None,
        instrument="; ".join(dict.fromkeys(file.instrument for file in taken if file.instrument)),
        description="; ".join(dict.fromkeys(file.description for file in taken if file.description)),
        origin=", ".join(file.path.name for file in taken),
        positions=layout.positions[rows] if len(layout.positions) else layout.positions,
    )


def _write(result: ReadingsResult, measurements: MeasurementSet, out: Path, printed: str, replace_existing: bool) -> None:
    entries: list[tuple[str, str]] = []
    if result.chart_id:
        entries.append(("CHART_ID", result.chart_id))
    if printed:
        entries.append(("PRINTED", printed))
    entries += [("SOURCE_FILE", f"{source.name}, SHA-256 {source.sha256}, joined {source.joined}") for source in result.sources]
    entries += [("REPAIRED", sentence) for sentence in result.repairs]
    entries += [("LEFT_OPEN", note.sentence) for note in result.notes]
    if result.merged is not None:
        entries.append(("MERGED", f"{result.merged.sentence} Kept: {result.merged.kept or 'the first reading'}."))
    words = dict.fromkeys(keyword for keyword, _ in entries)
    header = [("KEYWORD", word) for word in words] + entries
    table: CgatsTable = measurement_table(measurements, extra_header=header)
    write_whole(out, pack_cgats(table).encode("utf-8"), replace=replace_existing)
