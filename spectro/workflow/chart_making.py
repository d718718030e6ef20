"""Make a chart: recipe, patches, layout, and the chart folder with its pages."""

import dataclasses
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from spectro.chart.channels import are_inks
from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.own_list import own_patches
from spectro.chart.patches import quotas
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.chart.tables import named_pages, page_said
from spectro.errors import InputError, RecipeError
from spectro.records.chart import Chart, ChartRecipe, ChartResult, ReadingMode

READING_SECONDS = {ReadingMode.BY_STRIP: 20.0, ReadingMode.BY_PATCH: 4.0, ReadingMode.BY_TABLE: 1.5}
"""Time for one strip swept, or one patch read by hand or by a table, in practised use (common practice, no source)."""

SAFE_SEPARATION = 15.0
"""Mean predicted ΔE00 between strips below which a reader may take one for another: the generic printer and a real one
differ by about as much (no source)."""


def chart_new(
    recipe: str | Path = "rgb-a4-strip",
    out: Path | None = None,
    *,
    patches: int | None = None,
    pages: int | None = None,
    page: str | None = None,
    channels: str | None = None,
    total_area: float | None = None,
    seed: int | None = None,
    title: str | None = None,
    printer: str | None = None,
    paper: str | None = None,
    settings: str | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] | None = None,
) -> ChartResult:
    """Make a chart from a recipe and write its folder.

    recipe: name of a ready recipe, or a TOML file. out: the folder to make; None: in the current folder, named by the
    number of patches and the chart id. The others stand instead of what the recipe says: patches; pages (as many
    patches as fit; with patches: so many at most); page ("a4", "roll-24in", "8.5x11in"); channels ("RGB", "CMYK",
    "grey", or inks with commas between); total_area, percent; seed; title; printer, paper and settings of the printing
    condition. replace: an existing chart folder may be overwritten. progress: what is being done, and the fraction.
    Raises InputError, RecipeError, MeasurementFileError (own list), OutputExistsError, OutputFileError; nothing is
    written then.
    """
    report = progress or (lambda what, done: None)
    if out is not None:
        check_folder(Path(out), replace)
    asked = read_recipe(recipe)
    if asked.proof.way:
        raise InputError(f"a proof page in the recipe {recipe}", "a recipe of a chart", "Use spectro profile proof-page.")
    asked = _with_options(
        asked,
        recipe,
        page=page,
        channels=channels,
        condition=(printer, paper, settings),
        changes={"patches": patches, "pages": pages, "seed": seed, "title": title, "total_area": total_area},
    )
    own = own_patches(asked, Path(recipe).parent) if asked.own.file else None
    chart = design_chart(asked, recipe, lambda what, done: report(what, 0.4 * done), own)
    folder = Path(out) if out is not None else Path(f"chart-{len(chart)}-patches-{chart.chart_id}")
    files = write_chart_folder(chart, folder, replace=replace, progress=lambda what, done: report(what, 0.4 + 0.6 * done))
    report("done", 1.0)
    result = chart_result(chart, folder, files, str(recipe))
    if patches is None or len(chart) >= patches:
        return result
    room = "1 page has" if chart.pages == 1 else f"{chart.pages} pages have"
    sentence = f"{patches} patches were asked for, but {room} room for {len(chart)}: ask for more pages or a larger one."
    return dataclasses.replace(result, choices=(sentence, *result.choices))


def _with_options(
    recipe: ChartRecipe,
    path: str | Path,
    *,
    page: str | None,
    channels: str | None,
    condition: tuple[str | None, str | None, str | None],
    changes: dict[str, object],
) -> ChartRecipe:
    """Return the recipe with the options that were given; their errors name the option."""
    for name in ("patches", "pages", "seed", "total_area"):
        low, high = LIMITS[name]
        value = changes[name]
        if isinstance(value, int | float) and not low <= value <= high:
            raise InputError(f"--{name.replace('_', '-')} {value}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    given = {key: value for key, value in changes.items() if value is not None}
    if "patches" in given or "pages" in given:  # what the command line says of the size stands for all the recipe says
        given = {"patches": None, "pages": None} | given
    if page is not None:
        given["page"] = dataclasses.replace(recipe.page, size=page, width_mm=None, height_mm=None)
    if channels is not None:
        words = [word.strip() for word in channels.split(",")]
        given["channels"] = words[0] if words in (["RGB"], ["CMYK"], ["grey"]) else words
    words_of = dict(zip(("printer", "paper", "settings"), condition, strict=True))
    known = {key: word for key, word in words_of.items() if word is not None}
    if known:
        given["condition"] = dataclasses.replace(recipe.condition, **known)  # type: ignore[arg-type]
    changed = dataclasses.replace(recipe, **given)  # type: ignore[arg-type]
    try:
        check_limits(changed, path)
    except RecipeError as error:
        if page is not None and error.key == "page.size":
            raise InputError(f"--page {page!r}", error.expected, error.fix) from None
        if channels is not None and error.key == "channels":
            raise InputError(f"--channels {channels!r}", error.expected, error.fix) from None
        raise
    return changed


def chart_result(
    chart: Chart,
    folder: Path,
    files: tuple[str, ...],
    recipe: str,
    *,
    verdict: str = "",
    choices: tuple[str, ...] = (),
) -> ChartResult:
    """Return what a chart and its folder are, and what was chosen and why. recipe: its name or file.

    verdict, choices: instead of those of a chart that was made from its recipe.
    """
    minutes = reading_minutes(chart)
    sheets = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    return ChartResult(
        verdict=verdict
        or f"A chart of {len(chart)} patches on {sheets} is ready. Print the TIFF pages (or the PDF) without "
        "colour management at 100 %, measure the check rules, let it dry, then read it.",
        folder=folder,
        files=files,
        chart_id=chart.chart_id,
        recipe=recipe,
        title=chart.recipe.title,
        patches=len(chart),
        stanza_counts=dict(Counter(chart.stanzas).most_common()),
        pages=chart.pages,
        strips=chart.strips,
        patches_a_strip=chart.rows,
        page_mm=chart.page_mm,
        reading_mode=str(chart.recipe.reading.mode),
        reading_minutes=round(minutes, 1),
        fill_distance=chart.fill_distance,
        smallest_step=chart.smallest_step,
        separation=chart.separation,
        channels=chart.channels,
        seed=chart.recipe.seed,
        choices=choices or _choices(chart, minutes),
    )


def _choices(chart: Chart, minutes: float) -> tuple[str, ...]:
    """Return one sentence a choice, what and why."""
    recipe = chart.recipe
    counts = Counter(chart.stanzas)
    parts = ", ".join(f"{count} {name}" for name, count in counts.most_common())
    sentences = [f"{len(chart)} patches: {parts}. {_why_so_many(len(chart))}"]
    limits = quotas(recipe, chart.pages, counts.get("own", 0))
    if limits.scaled:
        sentences.append(
            "Greys, ramps, edges and repeats of the recipe were cut down to about a third of the patches; the rest is spread.",
        )
    return (*sentences, *layout_sentences(chart, minutes))


def layout_sentences(chart: Chart, minutes: float) -> tuple[str, ...]:
    """Return what a chart's layout means for its reader, one sentence each."""
    recipe = chart.recipe
    width, height = chart.page_mm
    sizes = {size: name for name, size in named_pages().items()}
    sheet = page_said(sizes[chart.page_mm]) if chart.page_mm in sizes else f"{width:g} x {height:g} mm"
    seconds = READING_SECONDS[recipe.reading.mode]
    swept = recipe.reading.mode is ReadingMode.BY_STRIP
    unit = "strip" if swept else "patch"
    sentences = [
        f"{sheet}, {chart.pages} page{'s' if chart.pages > 1 else ''}, {chart.strips} strips of up to {chart.rows} "
        f"patches, {recipe.patch.width_mm:g} x {recipe.patch.height_mm:g} mm each.",
        f"Reading {recipe.reading.mode}: about {_minutes_words(minutes)} at {seconds:g} s a {unit} "
        "(common practice, no source).",
        f"No colour is farther than {chart.fill_distance:.3f} from a patch (device values 0 to 1).",
        f"Neighbours in a strip differ by a predicted ΔE00 of {chart.smallest_step:.1f} at least.",
        _apart(chart),
    ]
    if are_inks(chart.channels):
        most = float(chart.device.sum(axis=1).max()) * 100
        limit = "no limit" if recipe.total_area is None else f"limit {recipe.total_area:g} %"
        sentences.insert(0, f"Inks: {', '.join(chart.channels)}; total area coverage up to {most:.0f} % ({limit}).")
    return tuple(sentences)


def _minutes_words(minutes: float) -> str:
    whole = max(1, round(minutes))
    return f"{whole} minute{'s' if whole > 1 else ''}"


def reading_minutes(chart: Chart) -> float:
    """Return about how long reading takes, minutes."""
    mode = chart.recipe.reading.mode
    units = chart.strips if mode is ReadingMode.BY_STRIP else len(chart)
    return units * READING_SECONDS[mode] / 60


def _apart(chart: Chart) -> str:
    """Return how well strips are told from each other."""
    if chart.separation == 0:
        return "There is no second strip to take for another."
    told = f"Any two strips, either way round or shifted by a patch, differ by a predicted ΔE00 of {chart.separation:.1f}"
    if chart.separation < SAFE_SEPARATION:
        return f"{told} in the mean: too little to recognise a strip for certain. Keep the order, or take longer strips."
    return f"{told} in the mean: a strip read wrongly is recognised."


def _why_so_many(count: int) -> str:
    """Return what the number of patches means for a model, as seen on one photo inkjet on matte paper [Balci-2025]."""
    if count < 250:
        return "A quick chart: more patches would still gain a good deal."
    if count < 600:
        return "A middle-sized chart: up to about 600 further patches still gain a little."
    return "From about 600 on, a second print on another day gains more than further patches."
