"""The recipe and the list of fresh patches for a refresh, RGB or of inks."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from spectro.chart.channels import are_inks, channel_names
from spectro.chart.ink_patches import ink_grey_points, solid_points
from spectro.chart.recipe import read_recipe, recipe_text
from spectro.checks.fitted_printer import is_inks
from spectro.checks.refresh import ALIKE
from spectro.records.arrays import FloatArray
from spectro.records.chart import (
    ChartPurpose,
    ChartRecipe,
    EdgesStanza,
    GreysStanza,
    OverprintsStanza,
    OwnStanza,
    RampsStanza,
    RepeatsStanza,
    SpreadStanza,
)
from spectro.records.measurement import MeasurementSet
from spectro.workflow.profile.top_up import in_channels
from spectro.workflow.steps.chart_purpose import recipe_of_chart

_FIRST = "# Fresh patches for a refresh, chosen from the old chart. Make the pages: spectro chart new with this file.\n"
_GREYS = 2  # the fewest that a recipe has
_FULL = 100  # device values of inks are listed in percent


def refresh_pages(like: str | Path, readings: MeasurementSet) -> ChartRecipe:
    """Return the recipe whose page, reading and, of inks, names and stages are taken: like, a recipe or a chart's folder.

    Raises InputError for a recipe of other inks than the readings are of.
    """
    base = recipe_of_chart(like) or read_recipe(like)
    return in_channels(base, readings) if is_inks(readings.colour_space) else base


def refresh_files(base: ChartRecipe, listed: str, chosen: FloatArray) -> tuple[str, str]:
    """Return the list of chosen patches (n, channels), and the recipe that asks for it and for the corners it lacks.

    base: whose pages are taken. listed: the list's name.
    """
    made = replace(
        base,
        purpose=ChartPurpose.REFRESH,
        pages=None,
        seed=1,
        spread=SpreadStanza(),
        greys=GreysStanza(neutral=_GREYS),
        ramps=RampsStanza(),
        edges=EdgesStanza(),
        repeats=RepeatsStanza(),
    )
    names = channel_names(base)
    if are_inks(names):
        points = np.vstack([chosen, solid_points(len(names)), ink_grey_points(_GREYS, names)])
        most = max(100.0, float(np.ceil(100 * points.sum(axis=1).max() - ALIKE)))
        made = replace(
            made,
            title=f"Ink refresh, {len(chosen)} patches",
            patches=len({tuple(row) for row in points.tolist()}),
            total_area=most,
            overprints=OverprintsStanza(),
            own=OwnStanza(file=listed, scale=_FULL),
        )
        return _list(",".join(names), _FULL * chosen), _FIRST + recipe_text(made)
    corners = int((np.minimum(chosen, 1 - chosen) < ALIKE).all(axis=1).sum())
    made = replace(
        made,
        title=f"RGB refresh, {len(chosen)} patches",
        channels="RGB",
        patches=len(chosen) + 8 - corners,
        own=OwnStanza(file=listed, scale=255),
    )
    return _list("RGB_R,RGB_G,RGB_B", 255 * chosen), _FIRST + recipe_text(made)


def _list(heading: str, values: FloatArray) -> str:
    """Return a list of patches as text."""
    return "\n".join([heading, *(",".join(f"{value:.6g}" for value in row) for row in values.tolist())]) + "\n"
