"""A small recipe that tests change to their needs, and charts made once."""

import dataclasses
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from spectro.chart.design import design_chart
from spectro.chart.recipe import recipe_from_table
from spectro.records.chart import Chart, ChartRecipe

sys.path.insert(0, str(Path(__file__).resolve().parent))  # the chart_… modules beside, which benchmarks use, too

TABLE: dict[str, Any] = {
    "format": 1,
    "title": "Invented test chart",
    "channels": "RGB",
    "patches": 180,
    "seed": 7,
    "greys": {"neutral": 16, "near_neutral": 4},
    "ramps": {"steps": 2},
    "edges": {"steps": 1},
    "repeats": {"patches": 5, "copies": 2},
    "page": {"width_mm": 130, "height_mm": 180, "resolution_dpi": 300},
    "patch": {"width_mm": 7.3, "height_mm": 6.7, "gap_columns_mm": 1.1},
    "reading": {"mode": "by-strip", "run_in_mm": 8, "run_out_mm": 8},
}


@pytest.fixture
def table() -> dict[str, Any]:
    """The tables of a small recipe, free to be changed."""
    return {key: dict(value) if isinstance(value, dict) else value for key, value in TABLE.items()}


@pytest.fixture(scope="session")
def small_recipe() -> ChartRecipe:
    """A small recipe: several pages of an odd size, odd patches, repeats."""
    return recipe_from_table(TABLE, "test.toml")


@pytest.fixture(scope="session")
def small_chart(small_recipe: ChartRecipe) -> Chart:
    """The chart of the small recipe."""
    return design_chart(small_recipe)


@pytest.fixture(scope="session")
def changed(small_recipe: ChartRecipe) -> Callable[..., ChartRecipe]:
    """A function that returns the small recipe with other values."""

    def change(**values: Any) -> ChartRecipe:
        return dataclasses.replace(small_recipe, **values)

    return change
