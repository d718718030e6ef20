"""From a recipe to a laid-out chart."""

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np

from spectro.chart.generic_printer import predict_lab
from spectro.chart.layout import plan_grid, slot_boxes, slot_names, slots
from spectro.chart.order import order_patches, smallest_step
from spectro.chart.patches import choose_patches
from spectro.chart.recipe import recipe_table
from spectro.chart.spread import STEPS, fill_distance
from spectro.records.arrays import FloatArray, IntArray
from spectro.records.chart import Chart, ChartRecipe


def design_chart(
    recipe: ChartRecipe,
    path: str | Path = "recipe",
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> Chart:
    """Choose the patches of a recipe, order them and give each its place. The same recipe gives the same chart.

    path: the recipe's file, for messages. progress: called with what is being done and the fraction done.
    Raises RecipeError if the page has no room for the patches.
    """
    grid = plan_grid(recipe, path)
    progress("choosing patches", 0.0)
    choice = choose_patches(recipe)
    lab = predict_lab(choice.steps / STEPS)
    progress("ordering patches", 0.3)
    order = order_patches(choice, lab, grid.rows, recipe.seed)
    progress("measuring the largest hole", 0.7)
    first = np.zeros(len(order), dtype=bool)
    first[np.unique(order, return_index=True)[1]] = True
    stanzas = tuple(
        choice.stanzas[patch] if is_first else "repeats" for patch, is_first in zip(order.tolist(), first.tolist(), strict=True)
    )
    return lay_out(recipe, choice.steps[order], stanzas, path)


def lay_out(recipe: ChartRecipe, steps: IntArray, stanzas: tuple[str, ...], path: str | Path = "recipe") -> Chart:
    """Give patches that are chosen and ordered already their places on the recipe's pages.

    steps: (n, channels), device values in steps of 1/255, in reading order; n is the recipe's number of patches.
    stanzas: (n,) what asked for each. Raises RecipeError if the page has no room for the patches.
    """
    grid = plan_grid(recipe, path)
    positions = slots(grid, len(steps))
    boxes = slot_boxes(grid, recipe, positions)
    recipes, order = np.unique(steps, axis=0, return_inverse=True)
    return Chart(
        chart_id=content_id(recipe, steps, positions, boxes),
        recipe=recipe,
        sample_ids=tuple(str(number) for number in range(1, len(steps) + 1)),
        sample_names=slot_names(grid, positions),
        stanzas=stanzas,
        steps=steps,
        positions=positions,
        boxes_mm=boxes,
        page_mm=grid.page_mm,
        rows=grid.rows,
        fill_distance=round(fill_distance(recipes), 6),
        smallest_step=round(smallest_step(order.ravel(), predict_lab(recipes / STEPS), grid.rows), 4),
    )


def content_id(recipe: ChartRecipe, steps: IntArray, positions: IntArray, boxes_mm: FloatArray) -> str:
    """Return the chart id: eight hexadecimal digits, the start of the SHA-256 of what the chart is."""
    content = [recipe_table(recipe), steps.tolist(), positions.tolist(), np.round(boxes_mm, 4).tolist()]
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:8]
