"""`spectro demo`: the whole way on the stand-in, from a chart to a report."""

import dataclasses
import time
from collections.abc import Callable
from pathlib import Path

from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import lay_out
from spectro.chart.recipe import read_recipe
from spectro.errors import OutputExistsError, OutputFileError
from spectro.files.cgats import write_cgats
from spectro.readings.write import measurement_table
from spectro.records.chart import Chart
from spectro.records.demo_result import DemoResult
from spectro.records.profile_settings import ProfileSettings
from spectro.stand_in.demo import NOTE, demo_chart, demo_readings, demo_second_sheet
from spectro.workflow.profile.assess import profile_assess
from spectro.workflow.profile.build import profile_build

RECIPE = "rgb-a4-strip"
FOLDER = "spectro-demo"


def demo(out: Path | None = None, *, progress: Callable[[str, float], None] = lambda what, done: None) -> DemoResult:
    """Make a chart, print and read it on the stand-in, build a profile and assess it against a second sheet.

    out: the folder to make; None: `spectro-demo` in the current folder, with a number where that exists.
    Raises OutputExistsError or OutputFileError; a folder that exists is never written into.
    """
    start = time.perf_counter()
    folder = _new_folder(out)
    progress("chart: pages to print", 0.0)
    chart = folder / "chart"
    write_chart_folder(demo_pages(), chart)
    progress("stand-in: printing and reading", 0.3)
    readings = folder / "readings-m1.txt"
    second = folder / "second-sheet-m1.txt"
    for path, measurements in ((readings, demo_readings()), (second, demo_second_sheet())):
        write_cgats(measurement_table(measurements, extra_header=[("PRINT_CONDITIONS", NOTE)]), path)
    progress("profile", 0.35)
    settings = ProfileSettings(printer="Stand-in printer", paper="stand-in matte", driver_settings="invented data")
    profile = profile_build(
        [readings],
        folder / "stand-in-matte.icc",
        settings=settings,
        progress=lambda what, done: progress(f"profile: {what}", 0.35 + 0.35 * done),
    )
    report = folder / "report.html"
    assessment = profile_assess(
        Path(profile.profile),
        [second],
        report=report,
        progress=lambda what, done: progress(f"report: {what}", 0.7 + 0.3 * done),
    )
    return DemoResult(
        note="All data of the demo is invented: a simulated printer, paper and instrument. It says nothing of a real one.",
        folder=folder,
        chart=chart,
        readings=(readings, second),
        profile=profile,
        assessment=assessment,
        report=report,
        seconds=time.perf_counter() - start,
    )


def demo_pages() -> Chart:
    """Return the demo's chart, laid out by a ready recipe; its places are those the stand-in's readings name."""
    chosen = demo_chart()
    recipe = dataclasses.replace(read_recipe(RECIPE), title="Demo chart (invented data)", patches=len(chosen))
    return lay_out(recipe, chosen.steps, ("demo",) * len(chosen), RECIPE)


def _new_folder(out: Path | None) -> Path:
    names = [out] if out is not None else [Path(FOLDER), *(Path(f"{FOLDER}-{number}") for number in range(2, 1000))]
    for folder in names:
        try:
            folder.mkdir()
        except FileExistsError:
            continue
        except OSError as error:
            raise OutputFileError(folder, error.strerror or str(error)) from error
        return folder
    raise OutputExistsError(names[0])
