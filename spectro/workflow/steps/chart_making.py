"""Make a chart: recipe, patches, layout, and the chart folder with its pages."""

from collections import Counter
from pathlib import Path

from spectro.chart.channels import are_inks
from spectro.chart.patches import quotas
from spectro.chart.tables import named_pages, page_said
from spectro.records.chart import Chart, ChartResult, ReadingMode

READING_SECONDS = {ReadingMode.BY_STRIP: 20.0, ReadingMode.BY_PATCH: 4.0, ReadingMode.BY_TABLE: 1.5}
"""Time for one strip swept, or one patch read by hand or by a table, in practised use (common practice, no source)."""

SAFE_SEPARATION = 15.0
"""Mean predicted ΔE00 between strips below which a reader may take one for another: the generic printer and a real one
differ by about as much (no source)."""


def chart_result(
    chart: Chart,
    folder: Path,
    files: tuple[str, ...],
    recipe: str,
    *,
    verdict: str = "",
    choices: tuple[str, ...] = (),
) -> ChartResult:
    """Return what a chart and its folder are, and what was chosen and why. recipe: its name or file.

    verdict, choices: instead of those of a chart that was made from its recipe.
    """
    minutes = reading_minutes(chart)
    sheets = "1 page" if chart.pages == 1 else f"{chart.pages} pages"
    return ChartResult(
        verdict=verdict
        or f"A chart of {len(chart)} patches on {sheets} is ready. Print the TIFF pages (or the PDF) without "
        "colour management at 100 %, measure the check rules, let it dry, then read it.",
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
        reading_minutes=round(minutes, 1),
        fill_distance=chart.fill_distance,
        smallest_step=chart.smallest_step,
        separation=chart.separation,
        channels=chart.channels,
        seed=chart.recipe.seed,
        choices=choices or _choices(chart, minutes),
    )


def _choices(chart: Chart, minutes: float) -> tuple[str, ...]:
    """Return one sentence a choice, what and why."""
    recipe = chart.recipe
    counts = Counter(chart.stanzas)
    parts = ", ".join(f"{count} {name}" for name, count in counts.most_common())
    sentences = [f"{len(chart)} patches: {parts}. {_why_so_many(len(chart))}"]
    limits = quotas(recipe, chart.pages, counts.get("own", 0))
    if limits.scaled:
        sentences.append(
            "Greys, ramps, edges and repeats of the recipe were cut down to about a third of the patches; the rest is spread.",
        )
    return (*sentences, *layout_sentences(chart, minutes))


def layout_sentences(chart: Chart, minutes: float) -> tuple[str, ...]:
    """Return what a chart's layout means for its reader, one sentence each."""
    recipe = chart.recipe
    width, height = chart.page_mm
    sizes = {size: name for name, size in named_pages().items()}
    sheet = page_said(sizes[chart.page_mm]) if chart.page_mm in sizes else f"{width:g} x {height:g} mm"
    seconds = READING_SECONDS[recipe.reading.mode]
    swept = recipe.reading.mode is ReadingMode.BY_STRIP
    unit = "strip" if swept else "patch"
    sentences = [
        f"{sheet}, {chart.pages} page{'s' if chart.pages > 1 else ''}, {chart.strips} strips of up to {chart.rows} "
        f"patches, {recipe.patch.width_mm:g} x {recipe.patch.height_mm:g} mm each.",
        f"Reading {recipe.reading.mode}: about {_minutes_words(minutes)} at {seconds:g} s a {unit} "
        "(common practice, no source).",
        f"No colour is farther than {chart.fill_distance:.3f} from a patch (device values 0 to 1).",
        f"Neighbours in a strip differ by a predicted ΔE00 of {chart.smallest_step:.1f} at least.",
        _apart(chart),
    ]
    if are_inks(chart.channels):
        most = float(chart.device.sum(axis=1).max()) * 100
        limit = "no limit" if recipe.total_area is None else f"limit {recipe.total_area:g} %"
        sentences.insert(0, f"Inks: {', '.join(chart.channels)}; total area coverage up to {most:.0f} % ({limit}).")
    return tuple(sentences)


def _minutes_words(minutes: float) -> str:
    whole = max(1, round(minutes))
    return f"{whole} minute{'s' if whole > 1 else ''}"


def reading_minutes(chart: Chart) -> float:
    """Return about how long reading takes, minutes."""
    mode = chart.recipe.reading.mode
    units = chart.strips if mode is ReadingMode.BY_STRIP else len(chart)
    return units * READING_SECONDS[mode] / 60


def _apart(chart: Chart) -> str:
    """Return how well strips are told from each other."""
    if chart.separation == 0:
        return "There is no second strip to take for another."
    told = f"Any two strips, either way round or shifted by a patch, differ by a predicted ΔE00 of {chart.separation:.1f}"
    if chart.separation < SAFE_SEPARATION:
        return f"{told} in the mean: too little to recognise a strip for certain. Keep the order, or take longer strips."
    return f"{told} in the mean: a strip read wrongly is recognised."


def _why_so_many(count: int) -> str:
    """Return what the number of patches means for a model, as seen on one photo inkjet on matte paper [Balci-2025]."""
    if count < 250:
        return "A quick chart: more patches would still gain a good deal."
    if count < 600:
        return "A middle-sized chart: up to about 600 further patches still gain a little."
    return "From about 600 on, a second print on another day gains more than further patches."
