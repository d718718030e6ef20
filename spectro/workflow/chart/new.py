"""`spectro chart new`: recipe, patches, layout, and the chart folder with its pages."""

import dataclasses
from collections.abc import Sequence
from pathlib import Path

from spectro.chart.channels import CMYK, channel_names
from spectro.chart.chart_folder import check_folder
from spectro.chart.design import design_chart
from spectro.chart.own_list import own_patches
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.chart.wishes import for_reader, on_small_sheet, patches_in, reader_recipe, usual_recipe
from spectro.errors import InputError, RecipeError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.records.chart import ChartPurpose, ChartRecipe, ChartResult, ChartWish
from spectro.records.progress import Progress, part_of, silent
from spectro.words.chart import ready_choices, ready_verdict
from spectro.workflow.steps.chart_inks import as_the_rip_takes, check_total_area
from spectro.workflow.steps.chart_making import chart_made
from spectro.workflow.steps.ink_stages import stages_of_pages

NO_WISH = ChartWish()


@keeps_what_it_reads()
def chart_new(
    recipe: str | Path | None = None,
    out: Path | None = None,
    *,
    patches: int | None = None,
    pages: int | None = None,
    page: str | None = None,
    channels: str | None = None,
    total_area: float | None = None,
    light_inks: str | None = None,
    seed: int | None = None,
    title: str | None = None,
    printer: str | None = None,
    paper: str | None = None,
    settings: str | None = None,
    wish: ChartWish = NO_WISH,
    stages: Path | None = None,
    on: Sequence[str] = (),
    in_pages: bool = False,
    replace: bool = False,
    progress: Progress = silent,
) -> ChartResult:
    """Make a chart from a recipe and write its folder.

    recipe: name of a ready recipe, or a TOML file; None: that of the channels and the wished reader, by strip if none is.
    out: the folder to make; None: in the current folder, named by the number of patches and the chart id. The others stand
    instead of what the recipe says: patches; pages (as many patches as fit; with patches: so many at most); page ("a4",
    "roll-24in", "8.5x11in"); channels ("RGB", "CMYK", "grey", or inks with commas between); total_area, percent; seed;
    title; printer, paper and settings of the printing condition; wish: the reader, minutes of reading, and whether pages are
    to be filled.
    light_inks: "own" where the RIP takes light inks as channels, "split" where it splits their full inks into them: then they
    are left out.
    stages, on, in_pages: what a press of inks is set to, what of it is on when pages are printed, whether the pages hold it.
    replace: an existing chart folder may be overwritten. progress: what is being done, and the fraction.
    Raises InputError, RecipeError, MeasurementFileError (own list), OutputExistsError, OutputFileError; nothing is
    written then.
    """
    if out is not None:
        check_folder(Path(out), replace)
    recipe = recipe or usual_recipe(wish.reader, channels)
    asked = read_recipe(recipe)
    if wish.reader is not None:
        asked = for_reader(asked, reader_recipe(wish.reader))
    if asked.proof.way:
        raise InputError(f"a proof page in the recipe {recipe}", "a recipe of a chart", "Use spectro profile proof-page.")
    asked = _with_options(
        asked,
        recipe,
        page=page,
        channels=channels,
        condition=(printer, paper, settings),
        changes={
            "patches": patches,
            "pages": (pages or 1) if wish.fill else pages,
            "seed": seed,
            "title": title,
            "total_area": total_area,
        },
    )
    asked = _through(_as_the_rip_takes(asked, light_inks, total_area), stages, on, in_pages=in_pages)
    if wish.minutes is not None:
        if patches is not None or wish.fill:
            raise InputError("both `minutes` and `patches`", "one of the two", "Leave one out: each says how many patches.")
        asked = patches_in(wish.minutes, asked, pages)
    own = own_patches(asked, Path(recipe).parent) if asked.own.file else None
    chart = design_chart(asked, recipe, part_of(progress, 0.0, 0.4), own)
    folder = Path(out) if out is not None else Path(f"chart-{len(chart)}-patches-{chart.chart_id}")
    verdict, choices = ready_verdict(chart), ready_choices(chart, patches)
    return chart_made(chart, folder, str(recipe), verdict=verdict, choices=choices, replace=replace, progress=progress)


def _later(recipe: ChartRecipe) -> bool:
    """Whether a recipe was chosen from readings: its patches go in the channels, and through the stages, of the first chart."""
    return recipe.purpose in (ChartPurpose.REFRESH, ChartPurpose.TOP_UP)


def _through(recipe: ChartRecipe, stages: Path | None, on: Sequence[str], *, in_pages: bool) -> ChartRecipe:
    """Return a recipe with what a press is set to; one that was chosen from readings keeps its own where none is said."""
    if stages is None and not on and not in_pages and _later(recipe):
        return recipe
    return dataclasses.replace(recipe, stages=stages_of_pages(stages, on, channel_names(recipe), in_pages=in_pages))


def _as_the_rip_takes(recipe: ChartRecipe, light_inks: str | None, total_area: float | None) -> ChartRecipe:
    """Return a recipe without light inks where the RIP splits their full inks.

    Raises InputError where that is not said, and for a total area that was asked for and is beyond all inks.
    """
    named = not isinstance(recipe.channels, str)
    said_before = "own" if _later(recipe) else None
    kept = (
        as_the_rip_takes(recipe.channels, light_inks or said_before, "chart", "new") if named else list(channel_names(recipe))
    )
    check_total_area(total_area, tuple(kept))
    if not named or len(kept) == len(recipe.channels):
        return recipe
    given = "CMYK" if tuple(kept) == CMYK else kept
    said = given if isinstance(given, str) else f"{len(kept)}-ink"
    title = recipe.title.replace(f"{len(recipe.channels)}-ink", said, 1)
    return dataclasses.replace(recipe, channels=given, title=title)


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
            raise InputError(f"`{name}` {value}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    given = {key: value for key, value in changes.items() if value is not None}
    if "patches" in given or "pages" in given:  # what the command line says of the size stands for all the recipe says
        given = {"patches": None, "pages": None} | given
    if page is not None:
        given["page"] = dataclasses.replace(recipe.page, size=page, width_mm=None, height_mm=None)
    if channels is not None:
        words = [word.strip() for word in channels.split(",")]
        given["channels"] = words[0] if words in (["RGB"], ["CMYK"], ["grey"]) else words
        if "title" not in given and recipe.channels == "RGB":  # a ready title that would say the wrong channels
            said = given["channels"] if isinstance(given["channels"], str) else f"{len(words)}-ink"
            given["title"] = recipe.title.replace("RGB", said, 1)
    words_of = dict(zip(("printer", "paper", "settings"), condition, strict=True))
    known = {key: word for key, word in words_of.items() if word is not None}
    if known:
        given["condition"] = dataclasses.replace(recipe.condition, **known)  # type: ignore[arg-type]
    changed = dataclasses.replace(recipe, **given)  # type: ignore[arg-type]
    try:
        check_limits(changed, path)
        if page is not None:
            changed = on_small_sheet(changed)
    except RecipeError as error:
        if page is not None and error.key == "page.size":
            raise InputError(f"`page` {page!r}", error.expected, error.fix) from None
        if channels is not None and error.key == "channels":
            raise InputError(f"`channels` {channels!r}", error.expected, error.fix) from None
        raise
    return changed
