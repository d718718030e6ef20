"""Make a chart: recipe, patches, layout, and the chart folder with its pages."""

import dataclasses
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.chart.design import design_chart
from spectro.chart.patches import quotas
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, PAGE_SIZES_MM, check_limits
from spectro.errors import InputError
from spectro.records.chart import Chart, ChartRecipe, ChartResult, ReadingMode

READING_SECONDS = {ReadingMode.BY_STRIP: 20.0, ReadingMode.BY_PATCH: 4.0}
"""Time for one strip swept, or one patch read, by a practised hand (common practice, no source)."""


def chart_new(
    recipe: str | Path = "rgb-a4-strip",
    out: Path | None = None,
    *,
    patches: int | None = None,
    page: str | None = None,
    seed: int | None = None,
    title: str | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] | None = None,
) -> ChartResult:
    """Make a chart from a recipe and write its folder.

    recipe: name of a ready recipe, or a TOML file. out: the folder to make; None: in the current folder, named by the
    number of patches and the chart id. patches, page ("a4" or "letter"), seed, title: instead of what the recipe says.
    replace: an existing chart folder may be overwritten. progress: called with what is being done and the fraction.
    Raises InputError, RecipeError, OutputExistsError, OutputFileError; nothing is written then.
    """
    report = progress or (lambda what, done: None)
    if out is not None:
        check_folder(Path(out), replace)
    asked = _with_options(read_recipe(recipe), recipe, patches=patches, page=page, seed=seed, title=title)
    chart = design_chart(asked, recipe, lambda what, done: report(what, 0.4 * done))
    folder = Path(out) if out is not None else Path(f"chart-{len(chart)}-patches-{chart.chart_id}")
    files = write_chart_folder(chart, folder, replace=replace, progress=lambda what, done: report(what, 0.4 + 0.6 * done))
    report("done", 1.0)
    return _result(chart, folder, files, str(recipe))


def _with_options(
    recipe: ChartRecipe,
    path: str | Path,
    *,
    patches: int | None,
    page: str | None,
    seed: int | None,
    title: str | None,
) -> ChartRecipe:
    """Return the recipe with the options that were given; their errors name the option."""
    for name, value in (("patches", patches), ("seed", seed)):
        low, high = LIMITS[name]
        if value is not None and not low <= value <= high:
            raise InputError(f"--{name} {value}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    if page is not None and page not in PAGE_SIZES_MM:
        raise InputError(
            f"--page {page!r}", " or ".join(PAGE_SIZES_MM), "For other sheets write width_mm and height_mm in a recipe."
        )
    changes: dict[str, object] = {"patches": patches, "seed": seed, "title": title}
    if page is not None:
        changes["page"] = dataclasses.replace(recipe.page, size=page, width_mm=None, height_mm=None)
    changed = dataclasses.replace(recipe, **{key: value for key, value in changes.items() if value is not None})  # type: ignore[arg-type]
    check_limits(changed, path)
    return changed


def _result(chart: Chart, folder: Path, files: tuple[str, ...], recipe: str) -> ChartResult:
    mode = chart.recipe.reading.mode
    units = chart.strips if mode is ReadingMode.BY_STRIP else len(chart)
    minutes = units * READING_SECONDS[mode] / 60
    sheets = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    return ChartResult(
        verdict=f"A chart of {len(chart)} patches on {sheets} is ready. Print the TIFF pages (or the PDF) without "
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
        reading_mode=str(mode),
        reading_minutes=round(minutes, 1),
        fill_distance=chart.fill_distance,
        smallest_step=chart.smallest_step,
        seed=chart.recipe.seed,
        choices=_choices(chart, minutes),
    )


def _choices(chart: Chart, minutes: float) -> tuple[str, ...]:
    """Return one sentence a choice, what and why."""
    recipe = chart.recipe
    width, height = chart.page_mm
    sizes = {size: name for name, size in PAGE_SIZES_MM.items()}
    sheet = {"a4": "A4", "letter": "Letter"}.get(sizes.get(chart.page_mm, ""), f"{width:g} x {height:g} mm")
    counts = Counter(chart.stanzas)
    parts = ", ".join(f"{count} {name}" for name, count in counts.most_common())
    seconds = READING_SECONDS[recipe.reading.mode]
    swept = recipe.reading.mode is ReadingMode.BY_STRIP
    unit = "strip" if swept else "patch"
    sentences = [
        f"{len(chart)} patches: {parts}. {_why_so_many(len(chart))}",
        f"{sheet}, {chart.pages} page{'s' if chart.pages > 1 else ''}, {chart.strips} strips of up to {chart.rows} "
        f"patches, {recipe.patch.width_mm:g} x {recipe.patch.height_mm:g} mm each.",
        f"Reading {recipe.reading.mode}: about {max(1, round(minutes))} minutes at {seconds:g} s a {unit} "
        "(common practice, no source).",
        f"No colour is farther than {chart.fill_distance:.3f} from a patch (device values 0 to 1).",
        f"Neighbours in a strip differ by a predicted ΔE00 of {chart.smallest_step:.1f} at least.",
    ]
    limits = quotas(recipe)
    if limits.scaled:
        sentences.insert(
            1,
            "Greys, ramps, edges and repeats of the recipe were cut down to about a third of the patches; the rest is spread.",
        )
    return tuple(sentences)


def _why_so_many(count: int) -> str:
    """Return what the number of patches means for a model, as seen on one photo inkjet on matte paper [Balci-2025]."""
    if count < 250:
        return "A quick chart: more patches would still gain a good deal."
    if count < 600:
        return "A middle-sized chart: up to about 600 further patches still gain a little."
    return "From about 600 on, a second print on another day gains more than further patches."
