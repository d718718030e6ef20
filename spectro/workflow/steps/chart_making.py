"""The end of every command that makes a chart: what its folder holds, and what was chosen."""

from collections import Counter
from pathlib import Path

from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import reading_minutes
from spectro.records.chart import Chart, ChartResult, purpose_of
from spectro.records.progress import Progress, part_of


def chart_made(
    chart: Chart,
    folder: Path,
    recipe: str,
    *,
    verdict: str,
    choices: tuple[str, ...],
    replace: bool,
    progress: Progress,
    begun: float = 0.4,
) -> ChartResult:
    """Write a chart's folder and return what it is, and what was chosen and why. recipe: its name or file.

    verdict: in a sentence; choices: one sentence a choice, what and why. replace: whether an earlier chart may be overwritten.
    begun: the share of the work that was done before. Raises errors as `write_chart_folder`.
    """
    files = write_chart_folder(chart, folder, replace=replace, progress=part_of(progress, begun, 1.0))
    progress("done", 1.0)
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
