"""`spectro profile top-up`: a small further chart, placed where the device model is least sure, and whether it is worth it."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from spectro.chart.channels import are_inks, channel_names, colour_space
from spectro.chart.recipe import read_recipe, recipe_text
from spectro.checks.fitted_printer import check_profiled, fit_printer, forecast_print
from spectro.checks.top_up import STEP, further_patches
from spectro.errors import InputError
from spectro.files.atomic import check_writable, make_folder, write_whole
from spectro.files.number_text import rounded_text
from spectro.files.overwriting import keeps_what_it_reads
from spectro.readings.load import AS_STATED, load_readings
from spectro.records.arrays import FloatArray
from spectro.records.chart import ChartPurpose, ChartRecipe, EdgesStanza, GreysStanza, OwnStanza, RampsStanza, RepeatsStanza
from spectro.records.gate import GateFinding
from spectro.records.measurement import MeasurementSet
from spectro.records.progress import Progress, silent
from spectro.records.reading_options import ReadingOptions
from spectro.records.shown_text import text_bytes
from spectro.records.top_up import TopUp
from spectro.standards.limits import Tolerances, check_bounds
from spectro.words.gate import with_insisted
from spectro.words.profile import top_up_verdict
from spectro.workflow.steps.chart_purpose import recipe_of_chart
from spectro.workflow.steps.even_pages import fitted_trends, pass_even
from spectro.workflow.steps.gate import pass_gate

LIST = "top-up-patches.csv"
RECIPE = "top-up.toml"
_CORNERS, _GREYS, _REPEATS = 8, 6, 6


@keeps_what_it_reads()
def profile_top_up(
    readings: Sequence[Path],
    out: Path | None = None,
    *,
    patches: int = 60,
    recipe: str | Path = "rgb-a4-strip",
    options: ReadingOptions = AS_STATED,
    tolerances: Tolerances | None = None,
    replace_files: bool = False,
    progress: Progress = silent,
) -> TopUp:
    """Say what a small chart of chosen patches would bring to a printer that has been read, and write its recipe.

    out: folder for the recipe and its list of patches; None: nothing is written. patches: how many are chosen, 12 to 400;
    corners, greys and repeats that tie the sheets together come on top. recipe: the ready recipe, or the folder of the
    first chart, whose page and reading mode are taken. options: how files are read. The others are the command's options.
    Raises errors of `spectro.errors` for bad input.
    """
    base = top_up_recipe(patches, recipe, out, replace_files=replace_files)
    progress("reading files", 0.0)
    measurements = load_readings(readings, options)
    check_profiled(measurements.colour_space, measurements.device.shape[1], measurements.origin)
    gate = pass_gate(measurements, options.insist, tolerances)
    return top_up_of(
        measurements,
        out,
        base,
        patches=patches,
        gate=gate,
        insist=options.insist,
        tolerances=tolerances,
        replace_files=replace_files,
        progress=progress,
    )


def top_up_recipe(patches: int, recipe: str | Path, out: Path | None = None, *, replace_files: bool = False) -> ChartRecipe:
    """Return the recipe whose page is taken, after the arguments were looked at. Raises InputError, OutputExistsError."""
    check_bounds("top_up_patches", patches, f"`patches` {patches}", "Choose a number in this range.")
    base = recipe_of_chart(recipe) or read_recipe(recipe)
    if out is not None and out.exists():
        for name in (RECIPE, LIST):
            check_writable(out / name, replace=replace_files)
    return base


def in_channels(base: ChartRecipe, measurements: MeasurementSet) -> ChartRecipe:
    """Return the recipe for the channels of readings: RGB and CMYK by their names, other inks as the recipe names them.

    Raises InputError for a recipe of other channels.
    """
    space, count = measurements.colour_space, measurements.device.shape[1]
    own = channel_names(base)
    if space == colour_space(own) and len(own) == count:
        return base
    if space == "CMYK" and base.channels == "RGB":  # a ready recipe: its page is taken
        return replace(base, channels="CMYK")
    named = space if space == "RGB" else f"{count} inks"
    raise InputError(
        f"a recipe for {base.channels if isinstance(base.channels, str) else ', '.join(base.channels)}",
        f"one for {named}, as the readings are",
        "Give the folder of the first chart with `recipe`.",
    )


def top_up_of(
    measurements: MeasurementSet,
    out: Path | None,
    base: ChartRecipe,
    *,
    patches: int,
    gate: tuple[GateFinding, ...] = (),
    insist: str = "",
    tolerances: Tolerances | None = None,
    replace_files: bool = False,
    progress: Progress = silent,
) -> TopUp:
    """Choose patches for a printer from readings in memory. base: the recipe whose page is taken; else as `profile_top_up`."""
    check_profiled(measurements.colour_space, measurements.device.shape[1], measurements.origin)
    base = in_channels(base, measurements)
    progress("fitting the device model", 0.1)
    limits = (tolerances or Tolerances()).of("profile")
    fitted = fit_printer(measurements)
    gate = (*gate, *pass_even(fitted_trends(measurements, fitted), measurements.origin, insist))
    progress("choosing patches", 0.6)
    found = further_patches(fitted, measurements.device, patches, limits)
    file = "" if out is None else _write_recipe(out, base, found.device, replace_files)
    progress("done", 1.0)
    return TopUp(
        verdict=with_insisted(gate, top_up_verdict(found, file, forecast_print(fitted), limits)),
        recipe=file,
        patches=_all_patches(base, len(found.device)),
        chosen=len(found.device),
        before=found.before,
        after=found.after,
        repeat_noise=found.noise,
        regions=found.regions,
        gate=gate,
    )


def _all_patches(base: ChartRecipe, chosen: int) -> int:
    """How many are printed: the greys hold two of the corners of RGB; of inks, paper and every full ink are corners."""
    names = channel_names(base)
    if not are_inks(names):
        return chosen + _CORNERS + _GREYS - 2 + _REPEATS
    return chosen + len(names) + 1 + _GREYS - ("black" in names) + _REPEATS


def _write_recipe(folder: Path, base: ChartRecipe, chosen: FloatArray, replace_files: bool) -> str:
    """Write the recipe and the list of its patches (n, channels); return the recipe's path."""
    made = replace(
        base,
        title=f"Top-up of {len(chosen)} patches",
        patches=_all_patches(base, len(chosen)),
        pages=None,
        purpose=ChartPurpose.TOP_UP,
        greys=GreysStanza(neutral=_GREYS, near_neutral=0),
        ramps=RampsStanza(steps=0),
        edges=EdgesStanza(steps=0),
        repeats=RepeatsStanza(patches=_REPEATS, copies=1),
        own=OwnStanza(file=LIST, scale=STEP),
    )
    rows = [",".join(rounded_text(value * STEP, 4) for value in row) for row in chosen.tolist()]
    make_folder(folder)
    write_whole(
        folder / LIST, (",".join(channel_names(base)) + "\n" + "\n".join(rows) + "\n").encode("ascii"), replace=replace_files
    )
    write_whole(folder / RECIPE, text_bytes(recipe_text(made)), replace=replace_files)
    return str(folder / RECIPE)
