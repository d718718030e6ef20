"""`spectro profile refresh`: old readings and a few fresh patches to a new profile, or the patches to print for it."""

import time
from collections.abc import Callable, Mapping
from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np

from spectro.chart.recipe import recipes_folder
from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import FittedPrinter, check_rgb, fit_printer
from spectro.checks.likely_changes import likely_moves
from spectro.checks.statistics import difference_statistics
from spectro.colour.difference import delta_e_2000
from spectro.colour.pcs import spectra_to_pcs
from spectro.colour.spectral_shift import spectra_with_lab
from spectro.errors import InputError
from spectro.files.atomic import check_writable, write_whole
from spectro.maths.spread import farthest_points
from spectro.model.drift_term import DriftTerm, fit_drift_term
from spectro.model.telling_drift import telling_drift_rows
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.arrays import ArrayLike, FloatArray, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.records.reading_options import ReadingOptions
from spectro.records.refresh import ProfileRefresh, RefreshChart
from spectro.records.repeats import RepeatAverages
from spectro.workflow.profile.build import build_from_measurements

USUAL_PATCHES, FEWEST_PATCHES, MOST_PATCHES = 60, 24, 400
WORSE, CERTAIN = 1.3, 2.0  # not enough: left-out fresh patches so many times a new chart's, and by so many standard errors
UNCHANGED = 1.25  # not needed: fresh patches no more off than so many times what left-out ones are
_SAME = 1e-6
_PLACES, _CANDIDATES = 400, 600  # where drift counts, and old patches to choose from
_GREYS = 5


def profile_refresh(
    old: Path,
    fresh: Path,
    out: Path | None = None,
    *,
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    settings: ProfileSettings | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ProfileRefresh:
    """Build a profile from old readings, moved by a smooth drift term, and fresh readings of 40 to 80 patches; write it.

    old: the readings of the whole chart, or a profile that carries them. fresh: readings of patches that span the printer,
    white and solids among them (`refresh_chart` chooses some). out: as for `profile_build`.
    Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    start = time.perf_counter()
    if out is not None:
        check_writable(out, replace=replace)
    if old.resolve() == fresh.resolve():
        raise InputError(f"the file {fresh} twice", "old readings and fresh ones", "Give the readings of what was printed now.")
    progress("reading files", 0.0)
    options = ReadingOptions(condition=measurement_condition, device_scale=device_scale, columns=columns or {})
    before, after = load_readings([old], options), load_readings([fresh], with_fields(options, chart=chart))
    return refresh_from_measurements(
        before, after, out, settings=settings or ProfileSettings(), replace=replace, progress=progress, start=start
    )


def refresh_from_measurements(
    old: MeasurementSet,
    fresh: MeasurementSet,
    out: Path | None,
    *,
    settings: ProfileSettings,
    replace: bool,
    progress: Callable[[str, float], None] = lambda what, done: None,
    start: float | None = None,
) -> ProfileRefresh:
    """Refresh from readings in memory; as `profile_refresh` otherwise."""
    start = time.perf_counter() if start is None else start
    _check_pair(old, fresh)
    progress("fitting the old readings", 0.05)
    fitted = fit_printer(old)
    progress("fitting the drift", 0.2)
    joined, term, repeats = refreshed_readings(old, fresh, fitted)
    said = fitted.model.predict(repeats.device)
    seen = spectra_to_pcs(repeats.reflectance, fresh.wavelengths).lab
    was = difference_statistics(delta_e_2000(seen, said))
    left_out = difference_statistics(errors := delta_e_2000(seen, said + term.left_out))
    reach = fitted.forecast.cross_validation
    build = build_from_measurements(
        joined,
        out,
        settings=settings,
        replace=replace,
        progress=lambda what, done: progress(what, 0.25 + 0.75 * done),
        start=start,
    )
    standard_error = float(errors.std(ddof=1) / np.sqrt(len(errors)))
    enough = not (left_out.mean > WORSE * reach.mean and left_out.mean - reach.mean > CERTAIN * standard_error)
    needed = was.mean > UNCHANGED * reach.mean
    moved = float(delta_e_2000(fitted.reading_lab, fitted.reading_lab + term.predict(old.device)).mean())
    return ProfileRefresh(
        verdict=_verdict(was.mean, left_out.mean, reach.mean, len(repeats.device), enough, needed),
        enough=enough,
        needed=needed,
        old_patches=len(old),
        fresh_patches=len(fresh),
        before=was,
        left_out=left_out,
        new_chart=reach,
        moved=moved,
        build=build,
        cautions=_cautions(repeats.device, fitted),
    )


def refreshed_readings(
    old: MeasurementSet, fresh: MeasurementSet, fitted: FittedPrinter
) -> tuple[MeasurementSet, DriftTerm, RepeatAverages]:
    """Return old readings moved by the drift that fresh ones show, joined by them; the drift; the fresh patches averaged.

    fitted: the model of the old readings.
    """
    repeats = average_repeats(fresh)
    lab = spectra_to_pcs(repeats.reflectance, fresh.wavelengths).lab
    model = fitted.model
    term = fit_drift_term(
        repeats.device,
        lab - model.predict(repeats.device),
        _spread(fitted, repeats.device, repeats.counts),
        place=model.hyperparameters.place,
        moves=likely_moves(old, fitted),
    )
    moved = spectra_with_lab(old.reflectance, old.wavelengths, fitted.reading_lab + term.predict(old.device))
    first = [f"fresh-{name}" for name in fresh.sample_ids]
    described = old.description or Path(old.origin.split(",")[0]).stem
    joined = with_fields(
        old,
        sample_ids=(*old.sample_ids, *first),
        sample_names=(*old.sample_names, *fresh.sample_names),
        device=np.vstack([old.device, fresh.device]),
        reflectance=np.vstack([moved, fresh.reflectance]),
        condition=old.condition or fresh.condition,
        created=max((date for date in (old.created, fresh.created) if date), default=None),
        description=described if described.endswith("refreshed") else f"{described}, refreshed",
        origin=f"{old.origin}, moved by {fresh.origin}",
        positions=np.zeros((0, 3), dtype=np.int64),
    )
    return joined, term, repeats


def refresh_chart(
    old: Path,
    folder: Path,
    *,
    patches: int = USUAL_PATCHES,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    replace: bool = False,
) -> RefreshChart:
    """Write a recipe and its list of patches to print for a refresh: corners, greys, then those that tell a model most.

    All are patches of the old chart, so old and fresh readings can be compared one by one too. folder: where both files go;
    it is made where there is none. Raises errors of `spectro.errors` for bad input; then nothing is written.
    """
    if not FEWEST_PATCHES <= patches <= MOST_PATCHES:
        raise InputError(f"{patches} patches", f"{FEWEST_PATCHES} to {MOST_PATCHES}; 40 to 80 are usual", "Choose --patches.")
    options = ReadingOptions(condition=measurement_condition, device_scale=device_scale, columns=columns or {})
    readings = load_readings([old], options)
    check_rgb(readings.colour_space, readings.origin)
    different = len(average_repeats(readings).device)
    if different <= patches:
        raise InputError(
            f"{different} different patches in {readings.origin}", f"more than {patches}", "Print the whole chart again."
        )
    if folder.exists() and not folder.is_dir():
        raise InputError(f"a file {folder}", "a folder", "Choose another --chart-out.")
    recipe, listed = folder / f"refresh-{patches}.toml", folder / f"refresh-{patches}-patches.csv"
    made = not folder.is_dir()
    if not made:
        for path in (recipe, listed):
            check_writable(path, replace=replace)
    elif not folder.parent.is_dir():
        raise InputError(f"no folder {folder.parent}", "one that is there", "Make it, or choose another --chart-out.")
    fitted = fit_printer(readings)
    chosen = fitted.repeats.device[telling_rows(readings, fitted, patches)]
    lines = ["RGB_R,RGB_G,RGB_B", *(",".join(f"{255 * value:.6g}" for value in row) for row in chosen.tolist())]
    if made:
        folder.mkdir()
    write_whole(listed, ("\n".join(lines) + "\n").encode("ascii"), replace=replace)
    corners = int((np.minimum(chosen, 1 - chosen) < _SAME).all(axis=1).sum())
    write_whole(recipe, _recipe_text(listed.name, len(chosen), 8 - corners).encode("utf-8"), replace=replace)
    return RefreshChart(
        verdict=f"A refresh of {patches} patches is chosen. Make its pages with: spectro chart new {recipe}",
        recipe=str(recipe),
        patches_file=str(listed),
        patches=len(chosen),
    )


def telling_rows(readings: MeasurementSet, fitted: FittedPrinter, patches: int) -> IntArray:
    """Return rows (patches,) of the different patches of a fitted chart: corners and a few greys, then the most telling ones.

    readings: those the printer was fitted to. By `telling_drift_rows`: each next patch leaves the least of a likely drift.
    """
    device = fitted.repeats.device
    corners = np.flatnonzero((np.minimum(device, 1 - device) < _SAME).all(axis=1))
    greys = np.flatnonzero(np.ptp(device, axis=1) < _SAME)
    greys = greys[np.argsort(device[greys, 0])]
    some = greys[np.unique(np.round(np.linspace(0, len(greys) - 1, _GREYS)).astype(np.int64))] if len(greys) else greys
    first = np.unique(np.concatenate([corners, some]))[:patches]
    spread_out = farthest_points(device, max(_CANDIDATES, 2 * patches))
    rows = np.concatenate([first, np.setdiff1d(spread_out, first)])
    candidates, places = device[rows], even_points(_PLACES, 3, 1)
    lab = fitted.model.predict(places)
    weights = np.stack([2 * delta_e_2000(lab, lab + 0.5 * axis) for axis in np.eye(3)], axis=1)
    chosen = telling_drift_rows(
        candidates,
        np.arange(len(first)),
        places,
        weights,
        _spread(fitted, candidates, np.ones(len(candidates))),
        patches,
        place=fitted.model.hyperparameters.place,
        moves=likely_moves(readings, fitted),
    )
    return rows[chosen]


def _spread(fitted: FittedPrinter, device: FloatArray, counts: ArrayLike) -> FloatArray:
    """Return the standard deviation (n,) of fresh readings, averaged over counts, from the old model where nothing changed."""
    noise = float((fitted.model.noise() ** 2).mean())
    return np.asarray(np.sqrt(noise / np.asarray(counts) + (fitted.model.uncertainty(device) ** 2).mean(axis=1)))


def _recipe_text(listed: str, patches: int, corners: int) -> str:
    """Return the ready control recipe with this list, and the corners it lacks, instead of its own patches."""
    text = recipes_folder().joinpath("rgb-control-patch.toml").read_text("utf-8")
    body = text[text.index("[page]") :]
    return (
        "# Fresh patches for a refresh, chosen from the old chart. Make the pages: spectro chart new with this file.\n"
        f'format = 1\ntitle = "RGB refresh, {patches} patches"\nchannels = "RGB"\npatches = {patches + corners}\nseed = 1\n\n'
        f'[own]\nfile = "{listed}"\nscale = 255\n\n[greys]\nneutral = 2\nnear_neutral = 0\n\n{body}'
    )


def _check_pair(old: MeasurementSet, fresh: MeasurementSet) -> None:
    check_rgb(old.colour_space, old.origin)
    check_rgb(fresh.colour_space, fresh.origin)
    if old.condition and fresh.condition and old.condition != fresh.condition:
        raise InputError(
            f"{fresh.condition} in {fresh.origin} and {old.condition} in {old.origin}",
            "one measurement condition",
            "Read the fresh patches under the same one.",
        )
    if not np.array_equal(old.wavelengths, fresh.wavelengths):
        raise InputError(
            f"other wavelengths in {fresh.origin} than in {old.origin}", "the same", "Export them in the same way."
        )


def _cautions(device: FloatArray, fitted: FittedPrinter) -> tuple[str, ...]:
    found = []
    if not (device > 1 - _SAME).all(axis=1).any():
        found.append("Bare paper is not among the fresh patches: the new profile's white rests on the old reading of it.")
    if len(device) < 40:
        found.append(f"{len(device)} different fresh patches; 40 to 80 are common practice.")
    if fitted.forecast.cross_validation.n < 150:
        found.append("The old chart is small: what it did not see, a refresh does not see either.")
    found.append(
        "A refresh follows smooth changes. A nozzle that misses now and then, banding or another driver setting are not."
    )
    return tuple(found)


def _verdict(was: float, left_out: float, reach: float, patches: int, enough: bool, needed: bool) -> str:
    if not enough:
        return (
            f"Not enough: with the refresh a left-out fresh patch is still off by ΔE00 {left_out:.2f} in the mean, where a new "
            f"chart would reach about {reach:.2f}. The profile was written, but profile anew."
        )
    if not needed:
        return (
            f"Refreshed, though there was little need: the old readings predict the {patches} fresh patches to ΔE00 {was:.2f} "
            f"in the mean, left-out patches of their own to {reach:.2f}."
        )
    return (
        f"Refreshed from {patches} fresh patches: a left-out one is off by ΔE00 {left_out:.2f} in the mean, {was:.2f} without "
        f"the refresh; a new chart would reach about {reach:.2f}. Not yet proven in print: make a page with "
        "spectro profile proof-page, print and read it."
    )
