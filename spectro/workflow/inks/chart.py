"""`spectro inks chart`: ramps and overprints of the inks at hand, with what was on in the RIP said on the pages."""

import dataclasses
from collections.abc import Sequence
from pathlib import Path

from spectro.chart.channels import CMYK, channel_names
from spectro.chart.chart_folder import check_folder
from spectro.chart.design import design_chart
from spectro.chart.ink_patches import set_up_points
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import LIMITS, check_limits
from spectro.chart.wishes import RECIPES, on_small_sheet
from spectro.checks.near_greys import grey_places
from spectro.errors import InputError, RecipeError
from spectro.files.overwriting import keeps_what_it_reads
from spectro.records.arrays import FloatArray
from spectro.records.chart import (
    Chart,
    ChartPurpose,
    ChartRecipe,
    ChartResult,
    EdgesStanza,
    GreysStanza,
    OverprintsStanza,
    RampsStanza,
    Reader,
    RepeatsStanza,
)
from spectro.records.progress import Progress, part_of, silent
from spectro.words.inks import set_up_choices, set_up_verdict
from spectro.workflow.steps.chart_inks import as_the_rip_takes, check_total_area
from spectro.workflow.steps.chart_making import chart_made
from spectro.workflow.steps.ink_stages import stages_of_pages

_REPEATS = RepeatsStanza(patches=4, copies=1, anchors=2)
_FIRST_GREYS = 5  # which every chart of inks holds
_SLACK = 12


@keeps_what_it_reads()
def inks_chart(
    channels: str = "CMYK",
    out: Path | None = None,
    *,
    reader: Reader = Reader.STRIP,
    page: str | None = None,
    total_area: float | None = None,
    near_neutral: bool = False,
    light_inks: str | None = None,
    stages: Path | None = None,
    on: Sequence[str] = (),
    in_pages: bool = False,
    title: str | None = None,
    replace: bool = False,
    progress: Progress = silent,
) -> ChartResult:
    """Make a chart of ramps and overprints, and write its folder.

    channels: "CMYK" or inks with commas between. out: the folder; None: in the current folder. reader, page: as for
    `chart_new`. total_area: percent, the most ink of any patch. near_neutral: with patches around the greys of cyan, magenta
    and yellow, for curves that make them neutral. light_inks: "own" where the RIP takes light inks as channels, "split" where
    it splits their full inks into them: then they are left out. stages, on: what the press is set to, and which of it is on
    when the pages are printed; in_pages: the pages hold it, else the RIP does. Raises as `chart_new`; nothing is written then.
    """
    if out is not None:
        check_folder(Path(out), replace)
    words = [word.strip() for word in channels.split(",")]
    channels = ",".join(as_the_rip_takes(words, light_inks, "inks", "chart"))
    recipe = _recipe(channels, reader, page, total_area, title)
    names = channel_names(recipe)
    check_total_area(total_area, names)
    if near_neutral:
        grey_places(names, f"`channels` {channels}")
    recipe = dataclasses.replace(recipe, stages=stages_of_pages(stages, on, names, in_pages=in_pages))
    own = set_up_points(names, total_area, near_neutral=near_neutral)
    chart = _designed(recipe, own, part_of(progress, 0.0, 0.4))
    folder = Path(out) if out is not None else Path(f"inks-{len(chart)}-patches-{chart.chart_id}")
    return chart_made(
        chart,
        folder,
        "ramps and overprints",
        verdict=set_up_verdict(chart),
        choices=set_up_choices(chart, near_neutral=near_neutral),
        replace=replace,
        progress=progress,
    )


def _recipe(channels: str, reader: Reader, page: str | None, total_area: float | None, title: str | None) -> ChartRecipe:
    words = [word.strip() for word in channels.split(",")]
    given: str | list[str] = "CMYK" if words == ["CMYK"] or tuple(words) == CMYK else words
    ready = read_recipe(RECIPES[reader])
    sheet = ready.page if page is None else dataclasses.replace(ready.page, size=page, width_mm=None, height_mm=None)
    said = given if isinstance(given, str) else f"{len(words)} inks"
    recipe = dataclasses.replace(
        ready,
        title=title or f"Ramps and overprints, {said}",
        channels=given,
        patches=None,
        pages=1,
        total_area=total_area,
        purpose=ChartPurpose.SET_UP,
        page=sheet,
        greys=GreysStanza(neutral=_FIRST_GREYS),
        ramps=RampsStanza(),
        edges=EdgesStanza(),
        overprints=OverprintsStanza(),
        repeats=_REPEATS,
    )
    low, high = LIMITS["total_area"]
    if total_area is not None and not low <= total_area <= high:
        raise InputError(f"`total_area` {total_area:g}", f"{low:g} to {high:.0f}", "Choose a value in this range.")
    if given in ("RGB", "grey") or given in (["RGB"], ["grey"]):
        raise InputError(
            f"`channels` {channels}", "CMYK, or inks with commas between", "Behind RGB and grey the driver sets the inks."
        )
    try:
        check_limits(recipe, "recipe")
    except RecipeError as error:
        name = {"page.size": f"`page` {page!r}", "channels": f"`channels` {channels!r}"}.get(error.key)
        if name is None:
            raise
        raise InputError(name, error.expected, error.fix) from None
    return on_small_sheet(recipe)


def _designed(recipe: ChartRecipe, own: FloatArray, progress: Progress) -> Chart:
    """Return the chart with as many patches as it needs: its own, those every chart holds, repeats on every page."""
    count = len(own) + len(channel_names(recipe)) + 1 + _FIRST_GREYS + _REPEATS.patches + 2 * _REPEATS.anchors
    return design_chart(dataclasses.replace(recipe, patches=count + _SLACK, pages=None), "recipe", progress, own)
