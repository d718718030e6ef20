"""`spectro aim check`: readings against an aim."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from spectro.checks.aims import (
    Pairs,
    against_ok_sheet,
    carried_to_paper,
    differences,
    limits_of,
    measures_of,
    one_of_each,
    pair_with_aim,
    run_sheets,
    solid_rows,
    tone_steps,
    worst_of_sheets,
    worst_patches,
)
from spectro.errors import InputError
from spectro.readings.load import load_any_readings, readings_lab
from spectro.records.aim import Aim, AimCheck, AimMeasure, PaperChange, PrintKind
from spectro.records.conditions import Backing, MeasurementCondition
from spectro.records.document import Document
from spectro.records.limits import Limit, Limits
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.readings import Readings
from spectro.standards.limits import Tolerances
from spectro.words.aims import mixed_conditions
from spectro.workflow.steps.aims_and_links import read_aim
from spectro.workflow.steps.gate import pass_gate_for_colours


def aim_check(
    readings: Sequence[Path],
    aim: Path,
    *,
    options: ReadingOptions | None = None,
    kind: PrintKind | None = None,
    aim_condition: MeasurementCondition | None = None,
    aim_backing: Backing | None = None,
    substrate_corrected: bool = False,
    ok_sheet: Path | None = None,
    tolerances: Tolerances | None = None,
    progress: Progress = silent,
) -> AimCheck:
    """Judge readings of one print, or of the sheets of a press run, against an aim.

    kind: what the print is judged as; None: as the aim's file says, else a contract proof. substrate_corrected: carry the
    aim over to the print's own paper; for production only. ok_sheet: readings that solids of a press run are compared with.
    Raises InputError for a contract proof with a corrected aim, for readings taken otherwise than the aim unless the options
    insist, and for a kind of print without any limit.
    """
    options, limits = options or ReadingOptions(), (tolerances or Tolerances()).of("aims")
    progress("reading files", 0.1)
    target = read_aim(aim, condition=aim_condition, backing=aim_backing)
    kind = kind or target.kind or PrintKind.CONTRACT_PROOF
    _check_kind(kind, target, limits, substrate_corrected)
    sheets = [load_any_readings([path], options) for path in readings]
    _check_alike(target, sheets, options)
    gate = tuple(finding for one in sheets for finding in pass_gate_for_colours(one, options.insist, tolerances))
    progress("comparing", 0.6)
    pairs = [_paired(target, one, limits) for one in sheets]
    ok = _paired(target, load_any_readings([ok_sheet], options), limits) if ok_sheet else None
    carried = [carried_to_paper(target, one, substrate_corrected) for one in pairs]
    paper = carried[-1][1]
    judged = [
        (one.origin, _measures(pair, ok, limits_of(target, kind, limits), limits))
        for one, (pair, _) in zip(sheets, carried, strict=True)
    ]
    first = _together([pair for pair, _ in carried])
    newest = sheets[-1]
    return AimCheck(
        aim=target.name,
        standard=target.standard,
        kind=kind,
        readings=", ".join(one.origin for one in sheets),
        aim_condition=target.condition,
        aim_backing=target.backing,
        condition=newest.condition,
        backing=newest.backing,
        instrument=newest.instrument,
        date=(newest.created or "")[:10],
        differences=differences(first),
        measures=worst_of_sheets(judged),
        tones=tone_steps(one_of_each(carried[-1][0])),
        worst=worst_patches(first),
        paper=paper,
        not_in_aim=first.missing,
        cautions=_cautions(target, newest, paper, limits),
        sheets=run_sheets([(one.origin, pair) for one, pair in zip(sheets, pairs, strict=True)], ok) if len(sheets) > 1 else (),
        against="ok-sheet" if ok is not None and solid_rows(first) else "aim",
        insisted=options.insist if mixed_conditions(_taken(target), _taken(newest)) else "",
        gate=gate,
    )


def write_label(document: Document, path: Path, *, replace: bool) -> None:
    """Write a document as a label to be printed: a PDF, or an HTML page. Raises InputError for another ending."""
    from spectro.workflow.steps.report_files import write_reports

    pdf = path.suffix.lower() == ".pdf"
    if not pdf and path.suffix.lower() not in (".html", ".htm"):
        raise InputError(f"the label {path.name}", "a name that ends in .pdf or .html", "Correct `label`.")
    write_reports(document, None if pdf else path, path if pdf else None, replace=replace)


def _check_kind(kind: PrintKind, aim: Aim, limits: Limits, corrected: bool) -> None:
    if corrected and kind is PrintKind.CONTRACT_PROOF:
        raise InputError(
            "a contract proof with an aim corrected for its paper", "the aim as it is: the proof's paper is part of it",
            "Leave out `substrate_corrected`, or judge as another kind.",
        )  # fmt: skip
    if not limits_of(aim, kind, limits):
        raise InputError(
            f"no limits for a {kind}", "some: none is shipped, since the standard's figures were not at hand",
            "Give them in the aim's file or with `tolerances`.",
        )  # fmt: skip


def _check_alike(aim: Aim, sheets: Sequence[Readings], options: ReadingOptions) -> None:
    """Refuse readings of other inks, and those taken under another measurement condition or backing than the aim's."""
    for one in sheets:
        if not one.has_device or one.colour_space != aim.colour_space:
            found = f"readings of {one.colour_space or 'no device values'}"
            raise InputError(
                found, f"{aim.colour_space}, as the aim {aim.name}", "Name the chart with `chart`, or another aim."
            )
        words = mixed_conditions(_taken(aim), _taken(one))
        if words and not options.insist:
            raise InputError(words, "the same for both", "Read the print as the aim was read, or say why not with `insist`.")


def _measures(pairs: Pairs, ok: Pairs | None, limits: Mapping[str, Limit], settings: Limits) -> tuple[AimMeasure, ...]:
    """Return the figures of one sheet, those of its solids against the OK sheet where there is one."""
    found = measures_of(pairs, limits, settings)
    if ok is None:
        return found
    solid = {one.name: one for one in measures_of(against_ok_sheet(pairs, ok), limits, settings) if "solid" in one.name}
    return tuple(solid.get(one.name, one) for one in found)


def _taken(one: Aim | Readings) -> tuple[MeasurementCondition | None, Backing | None]:
    return one.condition, one.backing


def _paired(aim: Aim, one: Readings, limits: Limits) -> Pairs:
    names = [name or number for name, number in zip(one.sample_names, one.sample_ids, strict=True)]
    return pair_with_aim(aim, names, one.device, readings_lab(one), limits["least_patches"])


def _together(pairs: Sequence[Pairs]) -> Pairs:
    """Return the readings of all sheets as those of one."""
    import numpy as np

    if len(pairs) == 1:
        return pairs[0]
    return replace(
        pairs[0],
        names=tuple(name for one in pairs for name in one.names),
        device=np.vstack([one.device for one in pairs]),
        aimed=np.vstack([one.aimed for one in pairs]),
        printed=np.vstack([one.printed for one in pairs]),
        missing=sum(one.missing for one in pairs),
    )


def _cautions(aim: Aim, readings: Readings, paper: PaperChange | None, limits: Limits) -> tuple[str, ...]:
    found = []
    for name, ours, theirs in (("condition", readings.condition, aim.condition), ("backing", readings.backing, aim.backing)):
        if ours is None or theirs is None:
            found.append(f"{name}-{'readings' if theirs is not None else 'aim' if ours is not None else 'both'}")
    if mixed_conditions(_taken(aim), _taken(readings)):
        found.append("mixed")
    if paper is not None and paper.difference > limits["paper_too_far"]:
        found.append("paper-too-far")
    elif paper is not None and paper.difference > limits["paper_as_is"] and not paper.corrected:
        found.append("paper-differs")
    return tuple(found)
