"""What a chart is for, told from its folder, or from the channels of its readings where there is none."""

from collections.abc import Sequence
from pathlib import Path

from spectro.chart.chart_file import parse_chart
from spectro.errors import SpectroError
from spectro.files.text_lines import read_bytes
from spectro.readings.load import load_readings
from spectro.records.chart import ChartPurpose, ChartRecipe, purpose_of
from spectro.records.chart_origin import CHART_FILE


def chart_purpose(chart: Path | str | None, channels: int = 3) -> ChartPurpose:
    """Return what a chart is for. chart: its folder, or any table of patches. channels: of the readings, for want of it."""
    recipe = recipe_of_chart(chart)
    if recipe is not None:
        return purpose_of(recipe)
    return {1: ChartPurpose.GREY, 3: ChartPurpose.PROFILE}.get(channels, ChartPurpose.INKS)


def recipe_of_chart(chart: Path | str | None) -> ChartRecipe | None:
    """Return the recipe that a chart folder was made from, None where there is no such folder, or nothing readable in it."""
    if chart is None or (isinstance(chart, str) and not Path(chart).is_dir()):
        return None
    place = Path(chart)
    place = place / CHART_FILE if place.is_dir() else place
    if place.name != CHART_FILE or not place.is_file():
        return None
    try:
        return parse_chart(read_bytes(place).decode("utf-8", "replace"), place).recipe
    except SpectroError:
        return None


def printed_through(chart: Path | str | None) -> bool:
    """Tell whether ink limits or curves of a press were on when a chart's pages were printed, as its folder has it."""
    recipe = recipe_of_chart(chart)
    return recipe is not None and bool(recipe.stages.on)


def purpose_of_readings(files: Sequence[Path | str]) -> ChartPurpose:
    """Return what readings are for, as their channels tell: those that cannot be read on their own are of an RGB chart."""
    try:
        return chart_purpose(None, load_readings([Path(file) for file in files]).device.shape[1])
    except SpectroError:
        return ChartPurpose.PROFILE
