"""`spectro chart path-test --out`: make the pages that are printed once by every print path."""

import dataclasses
from collections.abc import Callable, Sequence
from pathlib import Path

from spectro.chart.chart_folder import check_folder, write_chart_folder
from spectro.chart.page_text import CAUTIONS, cautions
from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.records.chart import ChartResult, ReadingMode
from spectro.workflow.chart_making import READING_SECONDS, chart_result

RECIPE = "path test"


def path_test_pages(
    out: Path,
    *,
    paths: Sequence[str] = (),
    page: str | None = None,
    printer: str = "",
    paper: str = "",
    settings: str = "",
    drying_hours: float | None = None,
    replace: bool = False,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> ChartResult:
    """Make the folder of a path test: one page for each named path, or one page to be printed by each.

    page: "a4", "a5", "letter", "8.5x11in" …; None: A4. printer, paper, settings: printed on the lines for them.
    drying_hours: before reading; None: what common practice asks for. Raises as `chart_new`; nothing is written then.
    """
    check_folder(Path(out), replace)
    recipe = path_test_recipe(paths, page, printer=printer, paper=paper, settings=settings, drying_hours=drying_hours)
    chart = design_path_test(recipe)
    files = write_chart_folder(chart, Path(out), replace=replace, progress=progress)
    result = chart_result(chart, Path(out), files, RECIPE)
    count = len(chart) // chart.pages
    if paths:
        how = f"{chart.pages} pages, one for each path," if chart.pages > 1 else "1 page"
        verdict = f"A path test of {how} is ready. Print each by the path named on it, all on the same paper"
    else:
        verdict = (
            "A path test of 1 page is ready. Print it once by every path you might use, on the same paper, and write the "
            "path's name on each sheet"
        )
    minutes = max(1, round(count * READING_SECONDS[ReadingMode.BY_PATCH] / 60))
    patch = chart.recipe.patch
    return dataclasses.replace(
        result,
        verdict=f"{verdict}; measure both check rules of each sheet, let them dry, read them.",
        choices=(
            f"{count} patches a page, {patch.width_mm:g} x {patch.height_mm:g} mm each, the same on every page: full colours "
            "and colours just inside them, greys, mid-tones, and six repeats.",
            f"Reading {chart.recipe.reading.mode}: about {minutes} minutes a sheet (common practice, no source).",
            "A path is all that lies between file and paper: program, dialog, driver settings. Print the TIFF or the PDF, "
            "as you would print a chart; a program that treats the two differently is two paths.",
            f"{cautions(chart.recipe).removesuffix(CAUTIONS).strip()} {CAUTIONS}",
        ),
    )
