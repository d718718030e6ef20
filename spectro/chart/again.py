"""The patches of a chart on other pages: the same device values, in the old order or in one that suits the new strips."""

import dataclasses
from pathlib import Path

import numpy as np

from spectro.chart.design import lay_out_device
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.layout import page_starts, plan_grid
from spectro.chart.order import WANTED_STEP, shuffled, unlike_neighbours
from spectro.chart.patches import PatchChoice
from spectro.chart.separation import separate_strips
from spectro.records.arrays import IntArray
from spectro.records.chart import Chart, ChartRecipe, ReadingMode


def laid_out_again(
    chart: Chart,
    recipe: ChartRecipe,
    path: str | Path = "recipe",
    *,
    order: str | None = None,
    least_separation: float = 0.0,
) -> tuple[Chart, str]:
    """Return a chart with the patches of another on the pages of a recipe, and a sentence on their order, and why it is so.

    recipe: its number of patches is the chart's. order: "kept", "new", or None: new only where strips are of other lengths
    than before and the old order would leave them too much alike. least_separation: predicted ΔE00 between strips from
    which on they are told apart. Raises RecipeError if a page has no room.
    """
    kept = lay_out_device(recipe, chart.device, chart.stanzas, path)
    if order == "kept":
        return kept, "The order was kept, as asked for."
    lengths, before = _strip_lengths(kept), _strip_lengths(chart)
    if order is None and np.array_equal(lengths, before):
        return kept, "The order was kept: strips are as long as before."
    if order is None and _recognised(kept, min(WANTED_STEP, chart.smallest_step), least_separation):
        return kept, "The order was kept: cut into strips of another length, it still tells every strip from any other."
    renewed = _in_new_order(chart, recipe, path)
    if order == "new":
        return renewed, "The order is a new one, as asked for."
    if (renewed.separation, renewed.smallest_step) <= (kept.separation, kept.smallest_step):
        return kept, "The order was kept: strips have another length, but no better order was found."
    return renewed, (
        f"The order is a new one: strips have another length, and in the old order they would differ by a predicted ΔE00 of "
        f"{kept.separation:.1f} and neighbours by {kept.smallest_step:.1f} only."
    )


def _recognised(chart: Chart, least_step: float, least_separation: float) -> bool:
    """Tell whether strips, and where they are swept also neighbours, are unlike enough."""
    steps = chart.smallest_step >= least_step or chart.recipe.reading.mode is not ReadingMode.BY_STRIP
    return steps and (chart.separation >= least_separation or chart.strips < 2)


def _strip_lengths(chart: Chart) -> IntArray:
    places = chart.positions[:, [0, 2]]
    starts = np.flatnonzero((np.diff(places, axis=0, prepend=-1) != 0).any(axis=1))
    return np.diff(np.append(starts, len(chart)))


def _in_new_order(chart: Chart, recipe: ChartRecipe, path: str | Path) -> Chart:
    """Return the chart in an order made for its new strips; copies of a patch lie in different parts of the chart."""
    device, first, patch = np.unique(chart.device, axis=0, return_index=True, return_inverse=True)
    by_first = np.argsort(first)  # distinct patches in the order of their first printing
    device = chart.device[first[by_first]]
    rank = np.empty(len(first), dtype=np.int64)
    rank[by_first] = np.arange(len(first))
    patch = rank[patch.reshape(-1)]
    words = ["repeats"] * len(device)
    for index, stanza in zip(patch.tolist(), chart.stanzas, strict=True):
        if words[index] == "repeats":
            words[index] = stanza
    grid = plan_grid(recipe, path)
    starts = np.array(grid.starts)
    generator = np.random.default_rng([recipe.seed, 1])
    choice = PatchChoice(
        device=device,
        stanzas=tuple(words),
        copies=np.bincount(patch, minlength=len(device)) - 1,
        anchors=np.zeros(0, dtype=np.int64),
        pages=grid.pages,
    )
    lab = predicted_lab(recipe, device)
    order = shuffled(choice, page_starts(grid), generator)
    unlike_neighbours(order, lab, starts, generator)
    separate_strips(order, lab, starts, generator)
    seen: set[int] = set()
    stanzas = []
    for index in order.patch.tolist():
        stanzas.append("repeats" if index in seen else words[index])
        seen.add(index)
    return lay_out_device(recipe, device[order.patch], tuple(stanzas), path)


def again_recipe(chart: Chart, like: ChartRecipe, **changes: object) -> ChartRecipe:
    """Return the chart's recipe with page, patch and reading of another, and with changes. Not yet checked."""
    whole = {"page": like.page, "patch": like.patch, "reading": like.reading, "patches": len(chart), "pages": None} | changes
    return dataclasses.replace(chart.recipe, **whole)  # type: ignore[arg-type]
