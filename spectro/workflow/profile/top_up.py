"""`spectro profile top-up`: a small further chart, placed where the device model is least sure, and whether it is worth it."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.stats import qmc

from spectro.chart.recipe import read_recipe, recipe_text
from spectro.checks.fitted_printer import check_rgb, fit_printer
from spectro.checks.noise import expected_difference
from spectro.errors import InputError
from spectro.files.atomic import check_writable, make_folder, write_whole
from spectro.files.number_text import rounded_text
from spectro.model.gaussian_process import DeviceModel
from spectro.model.most_telling import most_telling
from spectro.readings.load import load_readings
from spectro.records.arrays import FloatArray
from spectro.records.chart import EdgesStanza, GreysStanza, OwnStanza, RampsStanza, RepeatsStanza
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions
from spectro.records.top_up import TopUp

LIST = "top-up-patches.csv"
RECIPE = "top-up.toml"
WORTH = 0.1  # share of the expected error that a chart must take away to be worth its paper; no source
_CANDIDATES = 2048
_SURFACE = 3  # one candidate in so many lies on a face of the device cube, one in six on an edge
_CORNERS, _GREYS, _REPEATS = 8, 6, 6
_STEP = 255
_LEAST, _MOST = 12, 400


def profile_top_up(
    readings: Sequence[Path],
    out: Path | None = None,
    *,
    patches: int = 60,
    recipe: str | Path = "rgb-a4-strip",
    chart: Path | None = None,
    measurement_condition: MeasurementCondition | None = None,
    device_scale: int | None = None,
    columns: Mapping[str, str] | None = None,
    replace_files: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> TopUp:
    """Say what a small chart of chosen patches would bring to a printer that has been read, and write its recipe.

    out: folder for the recipe and its list of patches; None: nothing is written. patches: how many are chosen, 12 to 400;
    corners, greys and repeats that tie the sheets together come on top. recipe: the ready recipe whose page and reading mode
    are taken. The others are the command's options. Raises errors of `spectro.errors` for bad input.
    """
    if not _LEAST <= patches <= _MOST:
        raise InputError(f"--patches {patches}", f"{_LEAST} to {_MOST}", "Choose a number in this range.")
    base = read_recipe(recipe)
    if base.channels != "RGB":
        raise InputError(f"the recipe {recipe} for {base.channels}", "one for RGB", "Choose another --recipe.")
    if out is not None and out.exists():
        for name in (RECIPE, LIST):
            check_writable(out / name, replace=replace_files)
    progress("reading files", 0.0)
    measurements = load_readings(
        readings,
        ReadingOptions(chart=chart, condition=measurement_condition, device_scale=device_scale, columns=columns or {}),
    )
    check_rgb(measurements.colour_space, measurements.origin)
    progress("fitting the device model", 0.1)
    model = fit_printer(measurements).model
    progress("choosing patches", 0.6)
    candidates = _candidates(measurements.device)
    lab = model.predict(candidates)
    found = most_telling(model, candidates, _weights(model, lab), patches)
    before, after = expected_difference(lab, found.before), expected_difference(lab, found.after)
    noise = expected_difference(lab, np.broadcast_to(model.noise(), lab.shape))
    chosen = found.device
    total = len(chosen) + _CORNERS + _GREYS - 2 + _REPEATS
    file = ""
    if out is not None:
        make_folder(out)
        made = replace(
            base,
            title=f"Top-up of {len(chosen)} patches",
            patches=total,
            pages=None,
            greys=GreysStanza(neutral=_GREYS, near_neutral=0),
            ramps=RampsStanza(steps=0),
            edges=EdgesStanza(steps=0),
            repeats=RepeatsStanza(patches=_REPEATS, copies=1),
            own=OwnStanza(file=LIST, scale=_STEP),
        )
        rows = [",".join(rounded_text(value * _STEP, 4) for value in row) for row in chosen.tolist()]
        write_whole(out / LIST, ("red,green,blue\n" + "\n".join(rows) + "\n").encode("ascii"), replace=replace_files)
        write_whole(out / RECIPE, recipe_text(made).encode("utf-8"), replace=replace_files)
        file = str(out / RECIPE)
    progress("done", 1.0)
    return TopUp(
        verdict=_verdict(before, after, noise, len(chosen), file),
        recipe=file,
        patches=total,
        chosen=len(chosen),
        before=before,
        after=after,
        repeat_noise=noise,
        regions=_regions(model.predict(chosen)),
    )


def _candidates(printed: FloatArray) -> FloatArray:
    """Return device values (m, 3) in steps of 1/255 that have not been printed, inside the cube, on faces and on edges."""
    points = qmc.Sobol(3, seed=11).random(_CANDIDATES)
    for period, at in ((_SURFACE, 0), (2 * _SURFACE, 1)):
        rows = np.arange(at, len(points), period)
        points[rows, (rows // period) % 3] = (rows // (3 * period)) % 2
    steps = np.unique(np.rint(points * _STEP).astype(np.int64), axis=0)
    old = {tuple(row) for row in np.rint(printed * _STEP).astype(np.int64).tolist()}
    new = [row for row in steps.tolist() if tuple(row) not in old]
    return np.array(new, dtype=np.float64) / _STEP


def _weights(model: DeviceModel, lab: FloatArray) -> FloatArray:
    """Return how much the model's unit variance is seen at Lab (m, 3): the square of its mean ΔE00."""
    spread = np.sqrt(model.variance) * 0.02  # small, so that differences grow in proportion
    return np.array([expected_difference(row[None], spread) for row in lab]) ** 2 / 0.02**2


def _regions(lab: FloatArray) -> dict[str, int]:
    """Count colours by the words a printer of photographs has for them."""
    chroma, hue = np.hypot(lab[:, 1], lab[:, 2]), np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) % 360
    names = ("reds", "oranges and yellows", "greens", "cyans", "blues", "purples")
    words = [
        "darks" if tone < 25 else "near neutral" if grey < 10 else names[int(((angle + 10) % 360) // 60)]
        for tone, grey, angle in zip(lab[:, 0], chroma, hue, strict=True)
    ]
    return dict(Counter(words).most_common())


def _verdict(before: float, after: float, noise: float, chosen: int, file: str) -> str:
    whole, left = np.hypot(before, noise), np.hypot(after, noise)
    figures = (
        f"{chosen} further patches would take the model's share of the error from ΔE00 {before:.2f} to {after:.2f}, "
        f"beside a noise of {noise:.2f}"
    )
    if whole - left < WORTH * whole:
        return f"Not worth a chart: {figures}. A second sheet of the old chart, printed another day, brings more."
    next_step = f"Next: spectro chart new {file}" if file else "Write its recipe with --out FOLDER"
    return f"Worth a small chart: {figures}. {next_step}; read it, and build from both files together."
