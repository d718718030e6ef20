"""`spectro profile refresh`: old readings and a few fresh patches to a new profile, or the patches to print for it."""

import time
from collections.abc import Collection
from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np

from spectro.checks.fitted_printer import FittedPrinter, check_profiled, fit_printer, is_inks
from spectro.checks.ink_settings import other_order
from spectro.checks.refresh import ALIKE, Refreshed, refreshed_readings, telling_rows
from spectro.checks.refresh_causes import CHECKED, fresh_causes, paper_moved
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.files.overwriting import keeps_what_it_reads
from spectro.profile.naming import file_name
from spectro.readings.copies import check_no_copy
from spectro.readings.load import AS_STATED, load_readings
from spectro.readings.one_condition import bare_paper, check_labels, check_one_condition
from spectro.readings.repeats import average_repeats
from spectro.records.drift import CauseFinding
from spectro.records.gate import GateFinding
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.records.progress import Progress, part_of, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.refresh import ProfileRefresh, RefreshChart
from spectro.records.shown_text import text_bytes
from spectro.standards.limits import Tolerances, check_bounds
from spectro.words.gate import CHECKED as LOOKED_AT
from spectro.words.gate import with_insisted
from spectro.words.limits import own_in
from spectro.words.profile import other_paper_words, refresh_cautions, refresh_chart_verdict, refresh_verdict
from spectro.words.refresh import (
    DISAGREEMENT_ADVICE,
    EXPECTED,
    EXPECTED_INKS,
    changed_text,
    checked_caution,
    disagreement_words,
    small_setting_words,
    spoilt_advice,
)
from spectro.workflow.profile.build import MadeProfile, make_profile
from spectro.workflow.profile.refresh_recipe import refresh_files, refresh_pages
from spectro.workflow.profile.refresh_separation import with_kept_separation
from spectro.workflow.steps.even_pages import fitted_trends, pass_even
from spectro.workflow.steps.gate import pass_gate

USUAL_PATCHES = 60


@keeps_what_it_reads()
def profile_refresh(
    old: Path,
    fresh: Path,
    out: Path | None = None,
    *,
    options: ReadingOptions = AS_STATED,
    settings: ProfileSettings | None = None,
    tolerances: Tolerances | None = None,
    replace: bool = False,
    checked: Collection[str] = (),
    before: Path | None = None,
    chosen: Collection[str] = (),
    progress: Progress = silent,
) -> ProfileRefresh:
    """Build a profile from old readings, moved by a smooth drift term, and fresh readings of 40 to 80 patches; write it.

    old: the readings of the whole chart, or a profile that carries them. fresh: readings of patches that span the printer,
    white and solids among them (`refresh_chart` chooses some). out: as for `profile_build`.
    before: a profile of inks whose separation is kept where settings ask for none; None: old itself, if it is a profile.
    chosen: settings of the separation that stand although they are the usual ones ("black_share").
    options: how both are read; the chart is that of the fresh readings.
    checked: what was looked at and is right, of "dry", "settings", "nozzles": colours alone do not always tell; all three let
    fresh readings pass that look as if one of them was wrong.
    tolerances: limits of verdicts; None: the shipped ones. Raises errors of `spectro.errors` for bad input; then nothing is
    written.
    """
    if out is not None:
        check_writable(out, replace=replace)
    if old.resolve() == fresh.resolve():
        raise InputError(f"the file {fresh} twice", "old readings and fresh ones", "Give the readings of what was printed now.")
    progress("reading files", 0.0)
    then, now = load_readings([old], with_fields(options, chart=None)), load_readings([fresh], options)
    _check_channels(then, now)
    wanted = with_kept_separation(settings or ProfileSettings(), before or old, chosen)
    return refresh_from_measurements(
        then,
        now,
        out,
        gate=(*pass_gate(then, options.insist, tolerances), *pass_gate(now, options.insist, tolerances)),
        settings=wanted,
        tolerances=tolerances,
        replace=replace,
        progress=progress,
        insist=options.insist,
        checked=checked,
    )


def refresh_from_measurements(
    old: MeasurementSet,
    fresh: MeasurementSet,
    out: Path | None,
    *,
    settings: ProfileSettings,
    gate: tuple[GateFinding, ...] = (),
    tolerances: Tolerances | None = None,
    replace: bool,
    progress: Progress = silent,
    insist: str = "",
    checked: Collection[str] = (),
) -> ProfileRefresh:
    """Refresh from readings in memory and write the profile; as `profile_refresh` otherwise."""
    start = time.perf_counter()
    made, found = make_refresh(
        old, fresh, settings=settings, gate=gate, tolerances=tolerances, insist=insist, checked=checked, progress=progress
    )
    out = Path(file_name(made.build.name)) if out is None else out
    write_whole(out, made.data, replace=replace)
    progress("done", 1.0)
    return with_fields(found, build=with_fields(made.build, profile=str(out), seconds=time.perf_counter() - start))


def make_refresh(
    old: MeasurementSet,
    fresh: MeasurementSet,
    *,
    settings: ProfileSettings,
    gate: tuple[GateFinding, ...] = (),
    tolerances: Tolerances | None = None,
    insist: str = "",
    checked: Collection[str] = (),
    progress: Progress = silent,
) -> tuple[MadeProfile, ProfileRefresh]:
    """Return a refreshed profile that is not written yet, and what is told of it; as `profile_refresh` otherwise.

    old: of the whole chart; fresh: of what was printed now; both RGB or the same inks, with spectra, one measurement condition.
    gate: what was found of both. insist: why they are used although something spoils the fresh ones. checked: as for
    `profile_refresh`.
    Raises errors of `spectro.errors`.
    """
    limits = (tolerances or Tolerances()).of("profile")
    _check_pair(old, fresh)
    papers = [bare_paper(old), bare_paper(fresh)]
    check_one_condition(papers)
    check_labels(papers)
    progress("fitting the old readings", 0.05)
    fitted = fit_printer(old)
    _check_inks(fitted, fresh, tolerances)
    trends = fitted_trends(old, fitted)
    uneven = pass_even(trends, old.origin, insist)
    insisted, looked_at, minded = _check_causes(fitted, fresh, insist, checked, tolerances)
    gate = (*gate, *uneven, *insisted)
    progress("fitting the drift", 0.2)
    found = refreshed_readings(old, fresh, fitted, trends)
    gate = (*gate, *_check_agreement(found, fresh, insist, tolerances))
    made = make_profile(
        found.readings,
        settings=settings,
        gate=(*gate, *looked_at),
        tolerances=tolerances,
        progress=part_of(progress, 0.25, 0.95),
    )
    device, inks = found.repeats.device, is_inks(old.colour_space)
    paper = bool(((device < ALIKE) if inks else (device > 1 - ALIKE)).all(axis=1).any())
    white = paper_moved(fitted, fresh, (tolerances or Tolerances()).of("drift"))
    said = f"{refresh_verdict(found, made.build.in_print, limits, white)} {other_paper_words(white)}".strip()
    refresh = ProfileRefresh(
        verdict=with_insisted(gate, said),
        enough=found.enough(limits),
        open=found.open(limits),
        needed=found.needed(limits),
        old_patches=len(old),
        fresh_patches=len(fresh),
        before=found.before,
        left_out=found.left_out,
        new_chart=found.new_chart,
        told=found.told,
        reach=found.reach,
        reach_even=found.reach_even(limits),
        paper=white,
        moved=found.moved,
        build=made.build,
        cautions=own_in(tolerances, "gate", "profile", "drift")
        + minded
        + refresh_cautions(paper=paper, fresh=len(device), old=found.new_chart.n, limits=limits, inks=inks),
    )
    return made, refresh


@keeps_what_it_reads("folder")
def refresh_chart(
    old: Path,
    folder: Path,
    *,
    patches: int = USUAL_PATCHES,
    like: str | Path = "rgb-control-patch",
    options: ReadingOptions = AS_STATED,
    replace: bool = False,
) -> RefreshChart:
    """Write a recipe and its list of patches to print for a refresh: corners, greys, then those that tell a model most.

    All are patches of the old chart, so old and fresh readings can be compared one by one too. folder: where both files
    go; it is made where there is none. like: a recipe, or the folder of the first chart, whose page and reading are
    taken. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    check_bounds("refresh_patches", patches, f"{patches} patches", "Choose `patches`.", "; 40 to 80 are usual")
    readings = load_readings([old], with_fields(options, chart=None))
    check_profiled(readings.colour_space, readings.device.shape[1], readings.origin)
    base = refresh_pages(like, readings)
    different = len(average_repeats(readings).device)
    if different <= patches:
        raise InputError(
            f"{different} different patches in {readings.origin}", f"more than {patches}", "Print the whole chart again."
        )
    if folder.exists() and not folder.is_dir():
        raise InputError(f"a file {folder}", "a folder", "Choose another `chart_out`.")
    recipe, listed = folder / f"refresh-{patches}.toml", folder / f"refresh-{patches}-patches.csv"
    made = not folder.is_dir()
    if not made:
        for path in (recipe, listed):
            check_writable(path, replace=replace)
    elif not folder.parent.is_dir():
        raise InputError(f"no folder {folder.parent}", "one that is there", "Make it, or choose another `chart_out`.")
    fitted = fit_printer(readings)
    chosen = fitted.repeats.device[telling_rows(readings, fitted, patches)]
    text, made_recipe = refresh_files(base, listed.name, chosen)
    if made:
        folder.mkdir()
    write_whole(listed, text.encode("ascii"), replace=replace)
    write_whole(recipe, text_bytes(made_recipe), replace=replace)
    return RefreshChart(
        verdict=refresh_chart_verdict(patches, str(recipe)),
        recipe=str(recipe),
        patches_file=str(listed),
        patches=len(chosen),
    )


def _check_channels(old: MeasurementSet, fresh: MeasurementSet) -> None:
    check_profiled(old.colour_space, old.device.shape[1], old.origin)
    if fresh.colour_space != old.colour_space:
        raise InputError(
            f"{fresh.colour_space} device values in {fresh.origin} and {old.colour_space} in {old.origin}",
            "the same channels",
            "Print and read the fresh patches in the channels of the old chart, by the recipe that `chart_out` writes.",
        )


def _check_pair(old: MeasurementSet, fresh: MeasurementSet) -> None:
    _check_channels(old, fresh)
    if old.condition and fresh.condition and old.condition != fresh.condition:
        raise InputError(
            f"{fresh.condition} in {fresh.origin} and {old.condition} in {old.origin}",
            "one measurement condition",
            "Read the fresh patches under the same one.",
        )
    check_no_copy(
        fresh.origin, fresh.reflectance, old.origin, old.reflectance,
        "Read what was printed now: rows of the old readings always agree with them.",
    )  # fmt: skip
    if not np.array_equal(old.wavelengths, fresh.wavelengths):
        raise InputError(
            f"other wavelengths in {fresh.origin} than in {old.origin}", "the same", "Export them in the same way."
        )


def _check_inks(fitted: FittedPrinter, fresh: MeasurementSet, tolerances: Tolerances | None) -> None:
    """Refuse fresh readings of inks that fit the old ones far better in another order, or that hardly hold one of them."""
    if not is_inks(fresh.colour_space):
        return
    limits = (tolerances or Tolerances()).of("drift")
    most, needed = fresh.device.max(axis=0), limits["fresh_span"] * fitted.repeats.device.max(axis=0)
    if (most < needed).any():
        ink = int(np.argmax(needed - most))
        raise InputError(
            f"no patch with more than {100 * most[ink]:.0f} % of ink {ink + 1} in {fresh.origin}",
            f"{100 * needed[ink]:.0f} % at least, its solid best",
            "Print and read patches that span every ink, such as those that `chart_out` chooses.",
        )
    swapped = other_order(fitted, fresh, limits)
    if swapped is not None:
        one, other = swapped
        raise InputError(
            f"inks {one + 1} and {other + 1} of {fresh.origin} that print as each other did in the old readings",
            "the inks in the order of the old readings",
            "Name the columns of the fresh readings by their inks, in the order of the old chart.",
        )


def _check_causes(
    fitted: FittedPrinter, fresh: MeasurementSet, insist: str, checked: Collection[str], tolerances: Tolerances | None
) -> tuple[tuple[GateFinding, ...], tuple[GateFinding, ...], tuple[str, ...]]:
    """Refuse fresh patches that look damp, printed with another setting or by missing nozzles: no profile is made over those.

    insist: a reason, with which they are used. checked: what a person found right; all of it lets them pass, for colours do
    not surely tell which of them it is, or whether the printer moved by itself. Returns what was found of patches that are
    insisted on, what was found of those that were looked at, and what to keep in mind. Raises InputError.
    """
    for name in checked:
        if name not in CHECKED:
            raise InputError(f"{name!r} as what was checked", f"one of {', '.join(CHECKED)}", "Correct `checked`.")
    found, inks = fresh_causes(fitted, fresh, (tolerances or Tolerances()).of("drift")), is_inks(fresh.colour_space)
    if found.spoils is None:
        return (), (), small_setting_words(found.small, inks=inks)
    if set(CHECKED) <= set(checked):
        return (), (_as_by(found.spoils, fresh, LOOKED_AT),), (checked_caution(found.spoils, inks=inks),)
    if insist.strip():
        return (_as_by(found.spoils, fresh, insist.strip()),), (), ()
    raise InputError(
        _as_by(found.spoils, fresh, "").finding,
        EXPECTED_INKS if inks else EXPECTED,
        spoilt_advice(found.spoils, CHECKED, inks=inks),
    )


def _as_by(seen: CauseFinding, fresh: MeasurementSet, why: str) -> GateFinding:
    """Return what fresh patches look like, and why they are used."""
    said = f"fresh patches of {fresh.origin} that changed as by {changed_text(seen, inks=is_inks(fresh.colour_space))}"
    return GateFinding(finding=said, patches=(), cause=str(seen.cause), insisted=why)


def _check_agreement(
    found: Refreshed, fresh: MeasurementSet, insist: str, tolerances: Tolerances | None
) -> tuple[GateFinding, ...]:
    """Refuse fresh patches that disagree once a smooth change is taken out: bands, or patches that were misread.

    insist: a reason, with which they are used. Returns what was found of patches that are. Raises InputError.
    """
    if found.agrees((tolerances or Tolerances()).of("drift")):
        return ()
    said = disagreement_words(fresh.origin, found.left_out.p95, found.new_chart.p95)
    if not insist.strip():
        raise InputError(said, "patches that changed smoothly, if at all", DISAGREEMENT_ADVICE)
    return (GateFinding(finding=said, patches=(), cause="fresh patches disagree", insisted=insist.strip()),)
