"""The end of every command that makes a chart: what its folder holds, and what was chosen."""

from collections import Counter
from pathlib import Path

from spectro.chart.design import reading_minutes
from spectro.records.chart import Chart, ChartResult, purpose_of


def chart_result(
    chart: Chart, folder: Path, files: tuple[str, ...], recipe: str, *, verdict: str, choices: tuple[str, ...]
) -> ChartResult:
    """Return what a chart and its folder are, and what was chosen and why. recipe: its name or file.

    folder: where it lies; files: names in it. verdict: in a sentence; choices: one sentence a choice, what and why.
    """
    return ChartResult(
        verdict=verdict,
        folder=folder,
        files=files,
        chart_id=chart.chart_id,
        recipe=recipe,
        title=chart.recipe.title,
        patches=len(chart),
        stanza_counts=dict(Counter(chart.stanzas).most_common()),
        pages=chart.pages,
        strips=chart.strips,
        patches_a_strip=chart.rows,
        page_mm=chart.page_mm,
        reading_mode=str(chart.recipe.reading.mode),
        reading_minutes=round(reading_minutes(chart), 1),
        fill_distance=chart.fill_distance,
        smallest_step=chart.smallest_step,
        separation=chart.separation,
        channels=chart.channels,
        seed=chart.recipe.seed,
        choices=choices,
        purpose=purpose_of(chart.recipe),
    )
