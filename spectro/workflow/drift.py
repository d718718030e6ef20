"""`spectro drift`: a control print held against its reference print, its own history and the profile."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as with_fields
from datetime import UTC, datetime
from pathlib import Path

from spectro.checks.drift_advice import advice_for, against_profile, drift_settings, judge_newest
from spectro.checks.drift_cause import ChangeModel, change_model, ink_changes
from spectro.checks.drift_chart import USUAL_WEEKS, chart_points, drawn_limits, in_order, is_due, next_check, trend_of
from spectro.checks.drift_direction import paper_change, region_changes
from spectro.colour.pcs import light_name
from spectro.errors import InputError, ShapeError
from spectro.files.event_list import read_events
from spectro.files.overwriting import keeps_what_it_reads
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.readings.control_readings import (
    LEAST_PATCHES,
    glow_changed,
    history_files,
    join_prints,
    load_control,
    load_history,
    of_the_same_print,
)
from spectro.readings.copies import check_no_copy
from spectro.readings.load import AS_STATED, check_each_once
from spectro.records.arrays import FloatArray
from spectro.records.drift import ControlReading, DriftEvent, DriftResult, DriftSettings, DriftState
from spectro.records.gate import GateFinding
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import Join, ReadingOptions
from spectro.records.shown_text import shown_name
from spectro.report.drift_document import drift_document
from spectro.standards.limits import Tolerances
from spectro.words.drift import (
    advice_words,
    drift_cautions,
    drift_verdict,
    limits_words,
    loading_cautions,
)
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.workflow.steps.gate import pass_gate_for_change
from spectro.workflow.steps.report_files import check_reports, write_reports

_LOG = logging.getLogger("spectro")


@keeps_what_it_reads()
def drift(
    reference: Path,
    new: Sequence[Path],
    *,
    profile: Path | None = None,
    history: Path | None = None,
    options: ReadingOptions = AS_STATED,
    events: Sequence[DriftEvent] = (),
    events_file: Path | None = None,
    tile: tuple[Path, Path] | None = None,
    interval_weeks: int = USUAL_WEEKS,
    settings: DriftSettings | None = None,
    tolerances: Tolerances | None = None,
    now: datetime | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> DriftResult:
    """Hold readings of a control print against those of the reference print; the newest is judged.

    new: one or more dated readings. history: a folder with earlier ones. tile: readings of the instrument's tile, or of
    anchors kept in the dark, from the reference's day and from the newest check's. events, events_file: what was done when.
    options: how files are read.
    settings: of `drift_settings`; None: the shipped limits, one instrument. tolerances: limits of the gate; None: those
    shipped. now: the day of asking, which tells whether the next check is overdue; None: today. report, pdf: an HTML file and
    a PDF to write, or None. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    check_reports(report, pdf, replace=replace)
    progress("reading files", 0.0)
    dated = [*events, *(read_events(events_file) if events_file else ())]
    next_check(None, interval_weeks)
    _check_different(reference, new)
    prints = _prints(
        reference,
        new,
        history_files(history, [reference, *new, *(tile or ())]) if history is not None else (),
        options,
        tolerances,
    )
    tiles = None
    if tile is not None:
        progress("tile", 0.2)
        before, after = (load_control(path, ReadingOptions(condition=options.condition)).reading.lab for path in tile)
        tiles = (before, after)
    result = drift_of(
        prints.reference,
        prints.checks,
        settings=settings,
        events=dated,
        tile=tiles,
        profile=(shown_name(profile), read_profile(profile)) if profile else None,
        interval_weeks=interval_weeks,
        measurement_condition=prints.condition,
        now=now or datetime.now(UTC),
        cautions=(*prints.cautions, *own_in(tolerances, "gate")),
        progress=progress,
    )
    result = with_fields(result, verdict=with_insisted(prints.gate, result.verdict), gate=prints.gate)
    write_reports(drift_document(result), report, pdf, replace=replace, progress=progress)
    progress("done", 1.0)
    return result


_NO_CHECK = "Give the readings of what was printed since: a copy of the reference always agrees with it."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Prints:
    """A reference and its checks, all with the same patches in the same order."""

    reference: ControlReading
    checks: tuple[ControlReading, ...]
    condition: str
    cautions: tuple[str, ...]
    gate: tuple[GateFinding, ...]  # of the reference and the new readings


def _prints(
    reference: Path,
    new: Sequence[Path],
    history: Sequence[Path],
    options: ReadingOptions,
    tolerances: Tolerances | None,
) -> _Prints:
    first, *checks = (load_control(path, options) for path in (reference, *new))
    gate = tuple(finding for one in (first, *checks) for finding in pass_gate_for_change(one.found, options.insist, tolerances))
    for one in checks:
        check_no_copy(one.reading.origin, one.reading.lab, first.reading.origin, first.reading.lab, _NO_CHECK)
    older, wrong = load_history(history, options)
    for error in wrong:
        _LOG.warning("left out of the history: %s", error)
    older, others = of_the_same_print(first, older, options.join)
    (start, *readings), how = join_prints(first, [*older, *checks], options.join)
    newest = max((one.reading.date for one in checks if one.reading.date), default=None)
    conditions = [str(one.condition) for one in (first, *older, *checks) if one.condition]
    return _Prints(
        reference=start,
        checks=tuple(readings),
        condition=conditions[0] if conditions else "not stated",
        gate=gate,
        cautions=loading_cautions(
            wrong=wrong,
            others=others,
            reference_is_younger=bool(start.date and newest and newest < start.date),
            condition_stated=bool(conditions),
            glow_changed=any(glow_changed(first, one) for one in checks[-1:]),
            ids_differ=how is Join.ROW and any(one.ids != first.ids for one in (*older, *checks)),
        ),
    )


def _model_of(reference: ControlReading, settings: DriftSettings) -> ChangeModel:
    """Return what may change of a reference print and how."""
    return change_model(
        reference.lab,
        reference.device,
        reference.colour_space,
        noise=settings.noise,
        sheet=settings.sheet,
        positions=reference.positions,
    )


def drift_of(
    reference: ControlReading,
    checks: Sequence[ControlReading],
    *,
    settings: DriftSettings | None = None,
    events: Sequence[DriftEvent] = (),
    tile: tuple[FloatArray, FloatArray] | None = None,
    profile: tuple[str, IccProfile] | None = None,
    interval_weeks: int = USUAL_WEEKS,
    measurement_condition: str = "not stated",
    now: datetime | None = None,
    cautions: Sequence[str] = (),
    progress: Progress = silent,
) -> DriftResult:
    """Judge checks in memory against a reference; all have the same patches in the same order, as `drift` otherwise.

    Checks are put in the order of their dates where all have one; the last is judged. tile: Lab (k, 3) then and now.
    profile: its name and itself; device values must be known. now: None: nothing is called overdue.
    """
    settings = settings or drift_settings()
    _check_patches(reference, checks)
    order, events = in_order(checks), sorted(events, key=lambda event: event.date)
    progress("control chart", 0.3)
    model = _model_of(reference, settings)
    found = judge_newest(reference, order, model, settings, tile=tile)
    points = chart_points(reference, order, found.checks, events)
    limits, within = drawn_limits(found.checks, model, settings.limits["deviations"])
    newest = order[-1]
    regions = region_changes(reference.lab, newest.lab, reference.device, reference.colour_space, settings.limits)
    inks = ink_changes(model, newest.lab - reference.lab, 2.0, settings.limits["certain_ink"]) if reference.colour_space else ()
    advice = advice_for(found.state, found.causes, points[-1].difference.mean, paper_change(regions), inks, settings)
    dates, means = [point.date for point in points], [point.difference.mean for point in points]
    after, before = against_profile(profile, reference, newest)
    due = newest.date if found.state is DriftState.DRIFT else next_check(newest.date, interval_weeks)
    known = {"device_known": reference.colour_space is not None, "dated": all(one.date for one in (reference, *checks))}
    name = profile[0] if profile else None
    minded = drift_cautions(
        found.state, found.causes, found.tile, settings, within=within, profile=name or "", before=before, **known
    )
    return DriftResult(
        verdict=drift_verdict(found.state, advice, found.causes, regions, points, settings),
        state=found.state,
        advice=advice,
        advice_words=advice_words(found.state, advice, found.causes, found.tile, settings.limits),
        causes=found.causes if found.state is not DriftState.FINE else (),
        settings=settings,
        reference=reference.origin,
        reference_date=reference.date,
        patches=len(reference),
        light=light_name("D50", 2),
        measurement_condition=measurement_condition,
        points=points,
        centre=limits.centre,
        upper=limits.upper,
        limits_from=limits_words(within),
        trend=trend_of(dates, means, limits.upper, settings.limits["certain_slope"]),
        regions=regions,
        inks=inks,
        tile=found.tile,
        profile=name,
        profile_difference=after,
        profile_before=before,
        events=tuple(events),
        next_check=due,
        overdue=found.state is DriftState.DRIFT or (now is not None and is_due(due, now)),
        cautions=(*cautions, *minded),
        reference_lab=reference.lab,
        newest_lab=newest.lab,
    )


def _check_different(reference: Path, new: Sequence[Path]) -> None:
    if not new:
        raise InputError("no new reading", "at least one", "Name it after the reference.")
    check_each_once((reference, *new), "each reading once")


def _check_patches(reference: ControlReading, checks: Sequence[ControlReading]) -> None:
    if not checks:
        raise InputError("no new reading", "at least one", "Give it.")
    if len(reference) < LEAST_PATCHES:
        raise InputError(
            f"{len(reference)} patches",
            f"{LEAST_PATCHES} or more",
            "Print a control chart: spectro chart new rgb-control-patch.",
        )
    for check in checks:
        if len(check) != len(reference):
            raise ShapeError(f"{len(check)} patches in {check.origin}; expected {len(reference)}, those of the reference")
