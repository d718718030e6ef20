"""From a recipe to a laid-out chart."""

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from spectro.chart.channels import RGB, are_inks, channel_names
from spectro.chart.generic_printer import predicted_lab
from spectro.chart.ink_spread import ink_fill_distance
from spectro.chart.layout import page_starts, plan_grid, slot_boxes, slot_names, slots, with_count
from spectro.chart.order import shuffled, smallest_step, unlike_neighbours
from spectro.chart.patches import choose_patches
from spectro.chart.recipe import said_table
from spectro.chart.separation import separate_strips, smallest_separation
from spectro.chart.spread import STEPS, fill_distance
from spectro.errors import ShapeError
from spectro.records.arrays import ArrayLike, FloatArray, IntArray
from spectro.records.chart import Chart, ChartRecipe, ReadingMode
from spectro.records.proof import ProofAims

READING_SECONDS = {ReadingMode.BY_STRIP: 20.0, ReadingMode.BY_PATCH: 4.0, ReadingMode.BY_TABLE: 1.5}
"""Time for one strip swept, or one patch read by hand or by a table, in practised use (common practice, no source)."""


def design_chart(
    recipe: ChartRecipe,
    path: str | Path = "recipe",
    progress: Callable[[str, float], None] = lambda what, done: None,
    own: FloatArray | None = None,
) -> Chart:
    """Choose the patches of a recipe, order them and give each its place. The same recipe gives the same chart.

    path: the recipe's file, for messages. progress: called with what is being done and the fraction done.
    own: (k, channels), the user's own list, 0 to 1. The chart's recipe says how many patches came out.
    Raises RecipeError if the page has no room for the patches, InputError if the own list leaves none for the rest.
    """
    recipe = with_count(recipe, path)
    grid = plan_grid(recipe, path)
    progress("choosing patches", 0.0)
    choice = choose_patches(recipe, grid.pages, own)
    lab = predicted_lab(recipe, choice.device)
    progress("ordering patches", 0.3)
    places = int(choice.times.sum())
    starts = np.array(grid.starts)
    generator = np.random.default_rng([recipe.seed, 1])
    order = shuffled(choice, page_starts(grid), generator)
    unlike_neighbours(order, lab, starts, generator)
    progress("keeping strips apart", 0.5)
    separate_strips(order, lab, starts, generator)
    progress("measuring the largest hole", 0.9)
    first = np.zeros(places, dtype=bool)
    first[np.unique(order.patch, return_index=True)[1]] = True
    stanzas = tuple(
        choice.stanzas[patch] if is_first else "repeats"
        for patch, is_first in zip(order.patch.tolist(), first.tolist(), strict=True)
    )
    return lay_out_device(recipe, choice.device[order.patch], stanzas, path)


def lay_out(recipe: ChartRecipe, steps: IntArray, stanzas: tuple[str, ...], path: str | Path = "recipe") -> Chart:
    """Lay out patches given in steps of 1/255; see `lay_out_device`."""
    return lay_out_device(recipe, steps / STEPS, stanzas, path)


def lay_out_device(recipe: ChartRecipe, device: ArrayLike, stanzas: tuple[str, ...], path: str | Path = "recipe") -> Chart:
    """Give patches that are chosen and ordered already their places on the recipe's pages.

    device: (n, channels), 0 to 1, in reading order; n is the recipe's number of patches. They stay bit for bit the same.
    stanzas: (n,) what asked for each. Raises RecipeError if the page has no room for the patches, ShapeError where
    numbers do not fit together.
    """
    values = np.asarray(device, dtype=np.float64)
    channels = channel_names(recipe)
    if values.shape != (recipe.patches, len(channels)):
        raise ShapeError(f"device has shape {values.shape}; expected ({recipe.patches}, {len(channels)})")
    grid = plan_grid(recipe, path)
    positions = slots(grid)
    boxes = slot_boxes(grid, recipe, positions)
    return measured_chart(
        recipe,
        values,
        np.array(grid.starts),
        chart_id=content_id(recipe, values, positions, boxes),
        sample_ids=tuple(str(number) for number in range(1, len(values) + 1)),
        sample_names=slot_names(grid, positions),
        stanzas=stanzas,
        positions=positions,
        boxes_mm=boxes,
        page_mm=grid.page_mm,
        rows=grid.rows,
    )


def measured_chart(recipe: ChartRecipe, device: FloatArray, starts: IntArray, **placed: Any) -> Chart:
    """Return a chart with its figures: largest hole, smallest step, separation.

    device: (n, channels), 0 to 1, in reading order. starts: (strips + 1,), the first place of each strip, and n.
    placed: all else that a chart holds.
    """
    channels = channel_names(recipe)
    lab = predicted_lab(recipe, device)
    distinct = np.unique(device, axis=0)
    if channels == RGB:
        hole = fill_distance(np.unique(np.rint(distinct * STEPS).astype(np.int64), axis=0))
    else:
        hole = ink_fill_distance(distinct, recipe.total_area if are_inks(channels) else None)
    return Chart(
        recipe=recipe,
        channels=channels,
        device=device,
        fill_distance=round(hole, 6),
        smallest_step=_rounded(smallest_step(np.arange(len(device)), lab, starts)),
        separation=_rounded(smallest_separation(lab, starts)),
        **placed,
    )


def _rounded(value: float) -> float:
    """Return value to four decimals; what there is none of (a strip of one patch has no neighbours) becomes 0."""
    return round(value, 4) if np.isfinite(value) else 0.0


def content_id(
    recipe: ChartRecipe, device: FloatArray, positions: IntArray, boxes_mm: FloatArray, proof: ProofAims | None = None
) -> str:
    """Return the chart id: eight hexadecimal digits, the start of the SHA-256 of what the chart is.

    device: (n, channels), 0 to 1; positions: (n, 3) page, row, column; boxes_mm: (n, 4), where patches lie. proof: the aims of
    a proof page. The same content gives the same id on every machine.
    """
    content = [said_table(recipe), device.tolist(), positions.tolist(), np.round(boxes_mm, 4).tolist()]
    if proof is not None:
        content += [proof.profile_sha256, list(proof.groups), proof.pcs_lab.tolist(), proof.aim_lab.tolist()]
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:8]


def reading_minutes(chart: Chart) -> float:
    """Return about how long reading takes, minutes (common practice, no source)."""
    mode = chart.recipe.reading.mode
    units = chart.strips if mode is ReadingMode.BY_STRIP else len(chart)
    return units * READING_SECONDS[mode] / 60
