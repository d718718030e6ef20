"""`spectro drift`: a control print held against its reference print, its own history and the profile."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from spectro.checks.drift_advice import advice_for, cause_named, state_of, tile_finding, without_instrument
from spectro.checks.drift_cause import change_model, ink_changes
from spectro.checks.drift_chart import JudgedCheck, drawn_limits, judged_checks, trend_of
from spectro.checks.drift_direction import LIGHTEST, PAPER, region_changes
from spectro.colour.pcs import light_name
from spectro.errors import InputError, ShapeError
from spectro.files.atomic import write_whole
from spectro.icc.profile_file import IccProfile, read_profile
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.drift import (
    CauseFinding,
    ChartPoint,
    ControlReading,
    DriftCause,
    DriftEvent,
    DriftResult,
    DriftSettings,
    DriftState,
)
from spectro.workflow.control_readings import FileReading, Join, history_files, joined, load_control, load_history
from spectro.workflow.drift_against_profile import against_profile, profile_cautions
from spectro.workflow.drift_events import USUAL_WEEKS, events_between, next_check, read_events
from spectro.workflow.drift_words import advice_words, drift_cautions, drift_verdict
from spectro.workflow.report_files import check_reports

LEAST_PATCHES = 12


def drift(
    reference: Path,
    new: Sequence[Path],
    *,
    profile: Path | None = None,
    history: Path | None = None,
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    join: Join | None = None,
    events: Sequence[DriftEvent] = (),
    events_file: Path | None = None,
    tile: tuple[Path, Path] | None = None,
    interval_weeks: int = USUAL_WEEKS,
    settings: DriftSettings | None = None,
    report: Path | None = None,
    pdf: Path | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> DriftResult:
    """Hold readings of a control print against those of the reference print; the newest is judged.

    new: one or more dated readings. history: a folder with earlier ones. tile: readings of the instrument's tile, or of
    anchors kept in the dark, from the reference's day and from the newest check's. events, events_file: what was done when.
    report, pdf: an HTML file and a PDF to write, or None. Raises errors of `spectro.errors` for bad input; then nothing is
    written.
    """
    check_reports(report, pdf, replace=replace)
    progress("reading files", 0.0)
    dated = [*events, *(read_events(events_file) if events_file else ())]
    next_check(None, interval_weeks)
    _check_different(reference, new)

    def loaded(path: Path) -> FileReading:
        return load_control(path, chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns)

    first, *checks = map(loaded, (reference, *new))
    older: tuple[FileReading, ...] = ()
    cautions: tuple[str, ...] = ()
    if history is not None:
        older, cautions = load_history(
            history_files(history, [reference, *new, *(tile or ())]),
            chart=chart,
            condition=measurement_condition,
            device_scale=device_scale,
            columns=columns,
        )
        older, others = _of_the_same_print(first, older, join)
        cautions = (*cautions, *others)
    (start, *readings), how = joined(first, [*older, *checks], join)
    newest = max((one.reading.date for one in checks if one.reading.date), default=None)
    if start.date and newest and newest < start.date:
        cautions = (*cautions, "The reference is younger than every check: is it the reference? Give the oldest print first.")
    named = [one for one in (first, *older, *checks) if one.condition]
    if how is Join.ROW and any(one.ids != first.ids for one in (*older, *checks)):
        cautions = (*cautions, "The files name their patches differently; rows were taken to be the same patches.")
    tiles = None
    if tile is not None:
        progress("tile", 0.2)
        before, after = (load_control(path, condition=measurement_condition).reading.lab for path in tile)
        tiles = (before, after)
    result = drift_of(
        start,
        readings,
        settings=settings,
        events=dated,
        tile=tiles,
        profile=(profile.name, read_profile(profile)) if profile else None,
        interval_weeks=interval_weeks,
        measurement_condition=str(named[0].condition) if named else "not stated",
        cautions=cautions,
        progress=progress,
    )
    if report is not None:
        from spectro.report.drift_page import drift_html

        progress("drawing the report", 0.8)
        write_whole(report, drift_html(result).encode("utf-8"), replace=replace)
    if pdf is not None:
        from spectro.report.drift_pdf import drift_pdf

        progress("drawing the PDF", 0.9)
        write_whole(pdf, drift_pdf(result), replace=replace)
    progress("done", 1.0)
    return result


def _of_the_same_print(
    reference: FileReading, history: Sequence[FileReading], join: Join | None
) -> tuple[tuple[FileReading, ...], tuple[str, ...]]:
    """Return the files of a history that hold the reference's patches, and a sentence for each that does not."""
    kept, cautions = [], []
    for one in history:
        try:
            joined(reference, [one], join)
        except InputError as error:
            cautions.append(f"Left out of the history, another print: {one.path}: {error.found}.")
        else:
            kept.append(one)
    return tuple(kept), tuple(cautions)


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
    cautions: Sequence[str] = (),
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> DriftResult:
    """Judge checks in memory against a reference; all have the same patches in the same order, as `drift` otherwise.

    Checks are put in the order of their dates where all have one; the last is judged. tile: Lab (k, 3) then and now.
    profile: its name and itself; device values must be known.
    """
    settings = settings or DriftSettings()
    _check_patches(reference, checks)
    dated = all(check.date for check in checks)
    order = sorted(checks, key=lambda check: check.date.timestamp() if check.date else 0.0) if dated else list(checks)
    events = sorted(events, key=lambda event: event.date)
    progress("control chart", 0.3)
    model = change_model(reference.lab, reference.device, reference.colour_space, noise=settings.noise, sheet=settings.sheet)
    moved, without, seen = None, [], order
    if tile is not None:
        moved = tile_finding(*tile, settings)
        without = [DriftCause.INSTRUMENT]  # what the instrument did is known and taken out
        if moved.moved:
            seen = [*order[:-1], replace(order[-1], lab=without_instrument(order[-1].lab, *tile))]
    judged = judged_checks(reference, seen, model, settings, without=without)
    last, state, causes = judged[-1], state_of(judged[-1], settings), judged[-1].causes
    if moved is not None and moved.moved:
        moved = replace(moved, left=last.difference.mean)
        raw = judged_checks(reference, order, model, settings)
        if state is not DriftState.DRIFT and raw[-1].beyond:
            judged, state = (*judged[:-1], raw[-1]), DriftState.DRIFT
            last = raw[-1]
            causes = (CauseFinding(cause=DriftCause.INSTRUMENT, detail="", share=1.0, explains=1.0),)
    points = _points(reference, order, judged, events)
    limits, within = drawn_limits(judged, model)
    newest = order[-1]
    regions = region_changes(reference.lab, newest.lab, reference.device, reference.colour_space)
    inks = ink_changes(model, newest.lab - reference.lab, 2.0) if reference.colour_space else ()
    paper = next(region.delta_e_2000 for region in regions if region.name in (PAPER, LIGHTEST))
    shown = causes if state is not DriftState.FINE else ()
    advice = advice_for(state, cause_named(causes), points[-1].difference.mean, paper, inks, settings)
    now, before = against_profile(profile, reference, newest)
    return DriftResult(
        verdict=drift_verdict(state, advice, causes, regions, points, settings),
        state=state,
        advice=advice,
        advice_words=advice_words(state, advice, causes, moved),
        causes=shown,
        settings=settings,
        reference=reference.origin,
        reference_date=reference.date,
        patches=len(reference),
        light=light_name("D50", 2),
        measurement_condition=measurement_condition,
        points=points,
        centre=limits.centre,
        upper=limits.upper,
        limits_from=_limits_from(within),
        trend=trend_of([point.date for point in points], [point.difference.mean for point in points], limits.upper),
        regions=regions,
        inks=inks,
        tile=moved,
        profile=profile[0] if profile else None,
        profile_difference=now,
        profile_before=before,
        events=tuple(events),
        next_check=next_check(newest.date, interval_weeks),
        cautions=(
            *cautions,
            *profile_cautions(profile, before, settings),
            *drift_cautions(
                state=state,
                causes=causes,
                settings=settings,
                tile=moved,
                within=within,
                device_known=reference.colour_space is not None,
                dated=dated and reference.date is not None,
            ),
        ),
        reference_lab=reference.lab,
        newest_lab=newest.lab,
    )


def _points(
    reference: ControlReading,
    checks: Sequence[ControlReading],
    judged: Sequence[JudgedCheck],
    events: Sequence[DriftEvent],
) -> tuple[ChartPoint, ...]:
    points, before = [], reference.date
    for check, found in zip(checks, judged, strict=True):
        points.append(
            ChartPoint(
                date=check.date,
                origin=check.origin,
                difference=found.difference,
                centre=found.limits.centre,
                upper=found.limits.upper,
                beyond=found.beyond,
                events=events_between(events, before, check.date),
            )
        )
        before = check.date or before
    return tuple(points)


def _limits_from(within: int) -> str:
    if within < 2:
        return "stated noise of readings and sheets"
    return f"mean moving range of {within} checks within limits, beside stated noise of readings and sheets"


def _check_different(reference: Path, new: Sequence[Path]) -> None:
    if not new:
        raise InputError("no new reading", "at least one", "Name it after the reference.")
    seen = {reference.resolve()}
    for path in new:
        if path.resolve() in seen:
            raise InputError(f"the file {path} twice", "each reading once", "Name it once.")
        seen.add(path.resolve())


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
