"""`spectro readings add`: finished files of readings joined with their chart, judged, repaired on request, and kept."""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from spectro.checks.page_judging import JudgedPage, judged_pages
from spectro.checks.predicted_colours import PredictedColours
from spectro.checks.reading_merging import AVERAGE, Merged, merge_strips
from spectro.checks.sheet_repeats import page_evenness_notes, repeat_noise_of
from spectro.checks.statistics import difference_statistics
from spectro.checks.strip_repairs import Bench, Repairs, accept, repair
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.files.overwriting import keeps_what_it_reads
from spectro.files.table_forms import table_bytes
from spectro.profile.evidence import insisted_header
from spectro.readings.intake import FileReadings, take_in
from spectro.readings.load import AS_STATED
from spectro.readings.questionable import doubt_header
from spectro.readings.strip_join import Joined
from spectro.readings.write import measurement_table
from spectro.records.chart_layout import ChartLayout
from spectro.records.gate import GateReport
from spectro.records.measurement import MeasurementSet
from spectro.records.page_trend import TrendsTold
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings_result import ReadingNote, ReadingsResult, TakenFile
from spectro.records.shown_text import shown_name
from spectro.standards.limits import Tolerances
from spectro.words.even_pages import even_caution, not_proven_even, trend_notes
from spectro.words.gate import THESE, gate_words, with_insisted
from spectro.words.joins import order_caution
from spectro.words.limits import own_in
from spectro.words.quality import without_word
from spectro.words.readings import (
    adding_cautions,
    adding_verdict,
    merge_note,
    page_notes,
    reading_notes,
    repair_words,
    tried_in_vain,
)
from spectro.workflow.steps.even_pages import expected_trends
from spectro.workflow.steps.gate import doubt_findings, gate_findings, of_notes
from spectro.workflow.steps.joining import join_files
from spectro.workflow.steps.judging import (
    cut_by_colours,
    doubted_patches,
    expected_colours,
    explained_pages,
    layout_of,
    measurements_of,
    rough_bench,
)

_MOST_ROUNDS = 3  # of accepting offers and judging again


@keeps_what_it_reads()
def readings_add(
    files: Sequence[Path],
    *,
    options: ReadingOptions = AS_STATED,
    predict_with: Path | None = None,
    out: Path | None = None,
    printed: str = "",
    pages: Sequence[int] = (),
    merge: str = AVERAGE,
    repairs: Repairs | None = None,
    keep_anyway: bool = False,
    tolerances: Tolerances | None = None,
    replace_existing: bool = False,
    progress: Progress = silent,
) -> ReadingsResult:
    """Take in files of one or more pages, sheets or readings of one chart, and write one canonical file of readings.

    options: how files are read; its chart is a folder or a table; None: the files hold device values. predict_with: a
    profile or earlier readings of this printing condition; None: the readings predict one another. pages: which page each
    file holds, where nothing tells. merge: "average" where several readings agree, "apart", or the number of the one to
    keep. printed: ISO date. out: None: a name is made of chart, condition and date.
    Nothing is written while something is open, unless somebody insists (options). keep_anyway: what is open is then marked as
    questionable, so that it stays out of profiles. Raises errors of `spectro.errors` for bad input.
    """
    wanted = repairs or Repairs()
    if keep_anyway and not options.insist.strip():
        raise InputError("`keep_anyway` without a reason", "`insist` with the reason", "Say why they are kept.")
    if out is not None:
        check_writable(out, replace=replace_existing)
    progress("reading files", 0.0)
    taken = take_in(files, options)
    layout = layout_of(options.chart, taken)
    joins = join_files(taken, layout, pages, options.row_order)
    bench = rough_bench(taken, joins, layout)
    progress("expected colours", 0.15)
    expected = expected_colours(predict_with, bench, taken[0].condition)
    progress("judging strips", 0.6)
    joins, bench = cut_by_colours(taken, joins, bench, expected)
    judged = _repaired_pages(bench, wanted, expected)
    explained = {} if expected.predict is None else explained_pages(judged, bench, expected, tolerances)
    notes = _of_what_is_kept(page_notes(_notes(judged, bench, wanted), explained), merge, bench)
    progress("merging", 0.85)
    together = merge_strips(bench.strips, taken, layout, how=merge, expected=expected.lab, paper=expected.paper)
    measurements = measurements_of(together, taken, layout)
    even = None if notes else expected_trends(measurements, together.rows, expected)
    notes = (*notes, *trend_notes(even))
    place = out or Path(_output_name(measurements, layout))
    report, strips = of_notes(measurements, notes, layout, tolerances)
    notes = tuple(one.note for one in strips)
    faulty = bool(report.stops or notes or not together.resolved)
    keep = not faulty or bool(options.insist.strip())
    doubted = doubted_patches(bench, taken, layout, merge if merge.isdecimal() else "")
    gate = (
        *gate_findings(report, strips, options.insist.strip() if faulty else ""),
        *doubt_findings(measurements, doubted),
    )
    result = _result(taken, joins, bench, expected, notes, together, measurements, str(place) if keep else None, even)
    unseen = (even_caution(even),) if not_proven_even(even) else ()
    cautions = (*result.cautions, *unseen, *own_in(tolerances, "gate", "proof"))
    result = replace(result, gate=gate, resolved=not faulty or bool(options.insist.strip()), cautions=cautions)
    result = replace(result, verdict=_verdict(result, report, options.insist.strip()))
    if keep:
        marked = {*doubted, *(_open_patches(result) if keep_anyway else ())}
        measurements = replace(measurements, printed=printed or measurements.printed)
        _write(result, measurements, place, _carried(taken), marked, replace_existing=replace_existing)
    progress("done", 1.0)
    return result


def _verdict(result: ReadingsResult, report: GateReport, insist: str) -> str:
    """Return what was found, the fault first where there is one."""
    verdict = adding_verdict(result)
    if not (report.stops or result.notes) or insist:
        return with_insisted(result.gate, verdict)
    return f"{gate_words(report, THESE, result.notes)} {without_word(verdict)}"


def _repaired_pages(bench: Bench, wanted: Repairs, expected: PredictedColours) -> list[JudgedPage]:
    """Repair the strips as asked for and return what is found of them then. Raises InputError where none is left."""
    repair(bench, wanted, expected.lab, expected.paper)
    judged = judged_pages(bench.strips, bench.lab, bench.layout, expected)
    for _ in range(_MOST_ROUNDS if wanted.accept_offers else 0):
        if not accept(bench, judged, expected.lab, expected.paper) or not bench.strips:
            break
        judged = judged_pages(bench.strips, bench.lab, bench.layout, expected)
    if not bench.strips:
        raise InputError("no strip left", "at least one", "Leave fewer out, or read the chart again.")
    return judged


def _notes(judged: Sequence[JudgedPage], bench: Bench, wanted: Repairs) -> tuple[ReadingNote, ...]:
    tried = wanted.tried()
    notes = reading_notes(judged, bench.strips, bench.layout)
    return tuple(tried_in_vain(note) if note.option in tried else note for note in notes)


def _of_what_is_kept(notes: tuple[ReadingNote, ...], merge: str, bench: Bench) -> tuple[ReadingNote, ...]:
    """Return the notes that concern the result: those of one reading where it alone is kept and holds every patch."""
    if not merge.isdecimal():
        return notes
    rows = {reading: set() for reading in {strip.reading for strip in bench.strips}}  # type: dict[int, set[int]]
    for strip in bench.strips:
        rows[strip.reading].update(strip.targets.tolist())
    whole = rows.get(int(merge), set()) >= set().union(*rows.values())
    return tuple(note for note in notes if note.reading == int(merge)) if whole else notes


def _result(
    taken: Sequence[FileReadings],
    joins: Sequence[Joined],
    bench: Bench,
    expected: PredictedColours,
    notes: tuple[ReadingNote, ...],
    together: Merged,
    measurements: MeasurementSet,
    out: str | None,
    even: TrendsTold | None,
) -> ReadingsResult:
    layout = bench.layout
    lab = spectra_to_lab(measurements.reflectance, measurements.wavelengths)
    away = difference_statistics(np.asarray(delta_e_2000(lab, expected.lab[together.rows])))
    result = ReadingsResult(
        verdict="",
        from_expected=away.mean,
        from_expected_p95=away.p95,
        out=out,
        chart=layout.origin,
        chart_id=layout.chart_id,
        patches=len(np.unique(together.rows)),
        chart_patches=len(layout),
        missing=layout.missing_parts(together.rows),
        condition=str(measurements.condition or "not stated"),
        sources=tuple(
            TakenFile(name=shown_name(file.path), sha256=file.sha256, readings=len(file), joined=join.words)
            for file, join in zip(taken, joins, strict=True)
        ),
        expected_from=expected.origin,
        expected_noise=expected.noise,
        sheet_faults_told=expected.tells_sheet_faults,
        notes=notes,
        gate=(),
        repairs=tuple(map(repair_words, bench.done)),
        merged=merge_note(together),
        repeat_noise=repeat_noise_of(measurements) if not notes else None,
        evenness=page_evenness_notes(measurements) if not notes else (),
        even=even,
        cautions=(),
        resolved=not notes and together.resolved,
        measurements=measurements,
    )
    told = tuple(order_caution(shown_name(file.path), join) for file, join in zip(taken, joins, strict=True) if join.found)
    return replace(result, cautions=(*told, *adding_cautions(result)))


def _output_name(measurements: MeasurementSet, layout: ChartLayout) -> str:
    """Return a name with chart, measurement condition and date."""
    words = [layout.chart_id or measurements.description or "chart", str(measurements.condition or "")]
    words.append((measurements.created or "")[:10])
    plain = [re.sub(r"[^a-z0-9]+", "-", word.lower()).strip("-") for word in words]
    return "-".join(["readings", *(word[:40] for word in plain if word)]) + ".txt"


def _open_patches(result: ReadingsResult) -> set[str]:
    """Return the patches, by name, else id, of what is open."""
    misread = {note.seems for note in result.notes}
    return {name for one in result.gate if one.cause in misread for name in one.patches}


def _carried(taken: Sequence[FileReadings]) -> tuple[tuple[str, str], ...]:
    """Return what the headers of files say that goes on with their readings; reasons go on with the gate's findings."""
    return tuple(dict.fromkeys(one for file in taken for one in file.carried if one[0] != INSISTED_KEYWORD))


def _write(
    result: ReadingsResult,
    measurements: MeasurementSet,
    out: Path,
    carried: Sequence[tuple[str, str]],
    marked: Collection[str],
    *,
    replace_existing: bool,
) -> None:
    """Write the readings with their history. marked: patches, by name, else id, that stay out of profiles."""
    entries: list[tuple[str, str]] = list(carried)
    if result.chart_id:
        entries.append(("CHART_ID", result.chart_id))
    entries += [("SOURCE_FILE", f"{source.name}, SHA-256 {source.sha256}, joined {source.joined}") for source in result.sources]
    entries += [("REPAIRED", sentence) for sentence in result.repairs]
    entries += [("LEFT_OPEN", note.sentence) for note in result.notes]
    entries += [entry for entry in insisted_header(result.gate) if entry[0] != "KEYWORD"]
    entries += doubt_header(measurements.sample_ids, measurements.sample_names, marked)
    if result.merged is not None:
        entries.append(("MERGED", f"{result.merged.sentence} Kept: {result.merged.kept or 'the first reading'}."))
    header = [("KEYWORD", word) for word in dict.fromkeys(keyword for keyword, _ in entries)] + entries
    table = measurement_table(measurements, extra_header=header)
    write_whole(out, table_bytes(table, out), replace=replace_existing)
