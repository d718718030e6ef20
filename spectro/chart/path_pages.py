"""The pages of a path test: one small page, the same for every print path, with the name of the path on it.

About thirty patches that a conversion, an enhancement or a brightness setting moves in different ways. By patch, and large
enough for any aperture of the ready recipes. Every page holds the same patches at the same places, so that the paper's
and the printer's unevenness cancels between pages.
"""

import dataclasses
from collections.abc import Iterator, Sequence

import numpy as np

from spectro.chart.design import content_id, lay_out_device
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.layout import plan_grid
from spectro.chart.order import shuffled, unlike_neighbours
from spectro.chart.patches import PatchChoice
from spectro.chart.recipe import read_recipe
from spectro.chart.recipe_limits import check_limits
from spectro.chart.spread import STEPS
from spectro.chart.tables import path_test_patches
from spectro.errors import InputError, RecipeError
from spectro.records.chart import Chart, ChartRecipe

TITLE = "Path test: are colours and size left alone?"
BASE_RECIPE = "rgb-aperture-8mm-patch"  # its patches are large enough for every aperture
SMALL_PATCHES_MM = ((10.0, 1.0), (8.0, 0.8), (6.5, 0.5))  # side and gap, where the page has no room for large ones
MOST_PATHS = 20


def path_test_recipe(
    paths: Sequence[str] = (),
    page: str | None = None,
    *,
    printer: str = "",
    paper: str = "",
    settings: str = "",
    drying_hours: float | None = None,
) -> ChartRecipe:
    """Return the recipe of one page of a path test.

    paths: names of the print paths, one page each; none: one page with a line to fill in. page: as in a recipe.
    Raises InputError for a name that is empty, twice there or cannot be printed, and for a page that cannot be used.
    """
    if len(paths) > MOST_PATHS:
        raise InputError(f"{len(paths)} print paths", f"{MOST_PATHS} at most", "Test the likeliest ones first.")
    for name in paths:
        if not name.strip() or paths.count(name) > 1:
            raise InputError(f"the path name {name!r}", "names, each once", "Call each path what you call it yourself.")
    base = read_recipe(BASE_RECIPE)
    condition = dataclasses.replace(
        base.condition, printer=printer, paper=paper, settings=settings, print_paths=[name.strip() for name in paths]
    )
    recipe = dataclasses.replace(
        base,
        title=TITLE,
        patches=int(path_test_patches()[2].sum()),
        pages=None,
        condition=condition,
        page=base.page if page is None else dataclasses.replace(base.page, size=page, width_mm=None, height_mm=None),
    )
    recipe = dataclasses.replace(recipe, reading=dataclasses.replace(recipe.reading, drying_hours=drying_hours))
    try:
        check_limits(recipe, "path test")
        return next(found for found in _sizes(recipe, page) if plan_grid(found, "path test").pages == 1)
    except RecipeError as error:
        option = {"page.size": f"`page` {page!r}", "condition.print_paths": "`path`"}.get(error.key, f"`{error.key[10:]}`")
        raise InputError(f"{option}: {error.found}", error.expected, error.fix) from None


def _sizes(recipe: ChartRecipe, page: str | None) -> Iterator[ChartRecipe]:
    """Yield the recipe with large patches, then with smaller ones; at last the error for a page without room."""
    yield recipe
    for side, gap in SMALL_PATCHES_MM:
        reading = dataclasses.replace(
            recipe.reading,
            aperture_mm=min(recipe.reading.aperture_mm or side, side),
            smallest_patch_mm=min(recipe.reading.smallest_patch_mm or side, side),
        )
        patch = dataclasses.replace(recipe.patch, width_mm=side, height_mm=side, gap_columns_mm=gap, gap_rows_mm=gap)
        yield dataclasses.replace(recipe, patch=patch, reading=reading)
    least = SMALL_PATCHES_MM[-1][0]
    raise InputError(f"`page` {page!r}", f"room for {recipe.patches} patches of {least:g} mm", "Take a larger page.")


def design_path_test(recipe: ChartRecipe) -> Chart:
    """Lay out a path test: as many equal pages as the recipe names paths, one at least.

    The order is the recipe's seed's; the same recipe gives the same chart.
    """
    steps, purposes, times = path_test_patches()
    choice = PatchChoice(
        device=steps / STEPS, stanzas=purposes, copies=times - 1, anchors=np.zeros(0, dtype=np.int64), evenness=0
    )
    grid = plan_grid(recipe, "path test")
    starts = np.array(grid.starts)
    generator = np.random.default_rng([recipe.seed, 1])
    order = shuffled(choice, np.array([0, len(starts) and int(starts[-1])]), generator)
    unlike_neighbours(order, predicted_lab(recipe, choice.device), starts, generator)
    first = np.zeros(len(order.patch), dtype=bool)
    first[np.unique(order.patch, return_index=True)[1]] = True
    stanzas = tuple(purposes[patch] if first[place] else "repeats" for place, patch in enumerate(order.patch.tolist()))
    single = lay_out_device(recipe, choice.device[order.patch], stanzas, "path test")
    return _repeated(single, max(1, len(recipe.condition.print_paths or ())))


def _repeated(chart: Chart, pages: int) -> Chart:
    """Return a chart of so many pages, all like the one of chart; ids count on, names say place alone."""
    if pages == 1:
        return chart
    count = len(chart)
    positions = np.tile(chart.positions, (pages, 1))
    positions[:, 0] = np.repeat(np.arange(1, pages + 1), count)
    device, boxes = np.tile(chart.device, (pages, 1)), np.tile(chart.boxes_mm, (pages, 1))
    recipe = dataclasses.replace(chart.recipe, patches=count * pages)
    return dataclasses.replace(
        chart,
        chart_id=content_id(recipe, device, positions, boxes),
        recipe=recipe,
        sample_ids=tuple(str(number) for number in range(1, count * pages + 1)),
        sample_names=chart.sample_names * pages,
        stanzas=chart.stanzas * pages,
        device=device,
        positions=positions,
        boxes_mm=boxes,
    )
