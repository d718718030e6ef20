"""`spectro chart pages`: an existing chart laid out again for other paper or another instrument."""

import dataclasses
import re
from pathlib import Path
from typing import Any

from spectro.chart.again import again_recipe, laid_out_again
from spectro.chart.chart_folder import check_folder
from spectro.chart.lengths import length_mm, measures_mm
from spectro.chart.proof_pages import with_aims_of
from spectro.chart.read_folder import ChartFolder, read_chart_folder
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.errors import InputError, RecipeError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.records.chart import Chart, ChartRecipe, ChartResult, ReadingMode
from spectro.records.chart_origin import CHART_FILE, ChartOrigin, OriginKind, SourceFile
from spectro.records.progress import Progress, silent
from spectro.standards.limits import shipped_limits
from spectro.words.chart import again_choices, again_verdict
from spectro.workflow.steps.chart_making import chart_made

_READY = {
    ReadingMode.BY_STRIP: "rgb-aperture-4.5mm-strip",
    ReadingMode.BY_PATCH: "rgb-aperture-4.5mm-patch",
    ReadingMode.BY_TABLE: "rgb-aperture-4.5mm-table",
}
"""Ready recipes whose page, patch and reading serve a mode, whatever the channels."""

_TITLE_LENGTH = 80
_HOW = re.compile(
    r", again from chart [0-9a-f]{8}$|,? (read )?(patch )?by[ -](strip|patch|table)\b"
    r"|, (small|medium|large|[0-9.]+ mm) aperture"
)


@keeps_what_it_reads()
def chart_pages(
    chart: Path,
    out: Path,
    *,
    recipe: str | Path | None = None,
    page: str | None = None,
    mode: str | None = None,
    patch: str | None = None,
    aperture: str | None = None,
    order: str | None = None,
    title: str | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ChartResult:
    """Lay a chart out again, with bit for bit the same device values, and write the new chart's folder.

    chart: a chart folder. recipe: a ready recipe or a TOML file, of which page, patches and reading are taken; without
    it the chart's own, or, for another mode, those of a ready recipe for a medium aperture. page: the paper; mode:
    "by-strip", "by-patch" or "by-table"; patch: "8x7mm"; aperture: "4.5mm" - these stand instead of the recipe's. order:
    "kept" or "new"; None: new only where the new strips would not be told apart. title: instead of the chart's own with
    a word on where it came from. Raises InputError, RecipeError, MeasurementFileError, OutputExistsError,
    OutputFileError; nothing is written then.
    """
    check_folder(Path(out), replace)
    progress("reading the chart", 0.0)
    source = read_chart_folder(Path(chart))
    old = source.chart
    if Path(out).resolve() == source.folder.resolve():
        raise InputError(f"{out}, the chart itself", "another folder", "Choose another name with `out`.")
    drawn = old.origin is None or old.origin.sizes_known
    if drawn and not any((recipe, page, mode, patch, aperture, order)):
        raise InputError(
            "nothing that is to change", "`page`, `recipe`, `mode`, `patch`, `aperture` or `order`", "Say what for."
        )
    if not LIMITS["patches"][0] <= len(old):
        raise InputError(
            f"a chart of {len(old)} patches", f"at least {LIMITS['patches'][0]:g}", "Make a chart with them as own list."
        )
    wanted = _recipe(source, drawn, recipe, page, mode, patch, aperture)
    wanted = dataclasses.replace(wanted, title=title if title is not None else _title(old, wanted))
    _check(wanted, recipe, page, patch, aperture, title, source.folder)
    progress("placing patches", 0.1)
    new, said = laid_out_again(
        old, wanted, str(recipe or source.folder), order=order, least_separation=shipped_limits("chart")["safe_separation"]
    )
    origin = ChartOrigin(
        kind=OriginKind.LAID_OUT_AGAIN, chart_id=old.chart_id, sources=(SourceFile(name=CHART_FILE, sha256=source.sha256),)
    )
    new = with_aims_of(dataclasses.replace(new, origin=origin), old)
    return chart_made(
        new,
        Path(out),
        str(recipe or source.folder),
        verdict=again_verdict(new, old.chart_id),
        choices=again_choices(new, old.chart_id, said),
        replace=replace,
        progress=progress,
    )


def _recipe(
    source: ChartFolder,
    drawn: bool,
    recipe: str | Path | None,
    page: str | None,
    mode: str | None,
    patch: str | None,
    aperture: str | None,
) -> ChartRecipe:
    """Return the recipe of the new layout, not yet checked."""
    own = source.chart.recipe
    asked = ReadingMode(mode) if mode is not None else own.reading.mode
    if recipe is not None:
        like = read_recipe(recipe)
        if mode is not None and like.reading.mode is not asked:
            raise InputError(f"`mode` {mode} with a recipe read {like.reading.mode}", "one of the two", "Leave one out.")
    elif drawn and asked is own.reading.mode:
        like = own
    else:
        like = read_recipe(_READY[asked])
        if drawn:
            like = dataclasses.replace(like, page=own.page)
    changes: dict[str, Any] = {}
    if page is not None:
        changes["page"] = dataclasses.replace(like.page, size=page, width_mm=None, height_mm=None)
    if patch is not None:
        width, height = measures_mm(patch.lower()) or (0.0, None)
        if height is None:
            raise InputError(f"`patch` {patch!r}", "width and height, such as 8x7mm or 0.3x0.3in", "Write it in that form.")
        changes["patch"] = dataclasses.replace(like.patch, width_mm=width, height_mm=height)
    if aperture is not None:
        wide = length_mm(aperture.lower())
        if wide is None:
            raise InputError(f"`aperture` {aperture!r}", "a length, such as 4.5mm", "Write it in that form.")
        changes["reading"] = dataclasses.replace(like.reading, aperture_mm=wide, smallest_patch_mm=None)
    return again_recipe(source.chart, like, **changes)


def _title(old: Chart, recipe: ChartRecipe) -> str:
    """Return the title: the old one without what it says of page and reading, how it is read now, where it came from."""
    end = f", {recipe.reading.mode}, again from chart {old.chart_id}"
    start = old.recipe.title
    while start != (start := _HOW.sub("", start)):
        pass
    room = _TITLE_LENGTH - len(end)
    if len(start) > room:
        start = start[:room].rpartition(" ")[0] or start[:room]
    return start.strip(" ,;") + end


def _check(
    recipe: ChartRecipe,
    given: str | Path | None,
    page: str | None,
    patch: str | None,
    aperture: str | None,
    title: str | None,
    folder: Path,
) -> None:
    """Check the new recipe; errors name the option that is to blame."""
    try:
        check_limits(recipe, str(given or folder))
    except RecipeError as error:
        blamed = {
            "page.size": f"`page` {page!r}" if page is not None else "",
            "title": f"`title` {title!r}" if title is not None else "",
            "patch.width_mm": f"`patch` {patch!r}" if patch is not None else "",
            "patch.height_mm": f"`patch` {patch!r}" if patch is not None else "",
            "reading.aperture_mm": f"`aperture` {aperture!r}" if aperture is not None else "",
        }.get(error.key, "")
        if blamed:
            raise InputError(f"{blamed}: {error.found}", error.expected, error.fix) from None
        raise
