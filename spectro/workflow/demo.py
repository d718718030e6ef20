"""`spectro demo`: the whole way on the stand-in, from a chart to a report."""

import dataclasses
import time
from collections.abc import Callable
from pathlib import Path

from spectro.chart.channels import MOST_INKS
from spectro.chart.chart_folder import write_chart_folder
from spectro.chart.design import design_chart, lay_out
from spectro.chart.recipe import read_recipe
from spectro.errors import InputError, OutputExistsError, OutputFileError
from spectro.files.cgats import write_cgats
from spectro.readings.write import measurement_table
from spectro.records.chart import Chart
from spectro.records.demo_result import DemoResult
from spectro.records.measurement import MeasurementSet
from spectro.records.profile_settings import ProfileSettings
from spectro.records.progress import silent
from spectro.stand_in.demo import NOTE, SECOND_CREATED, demo_chart, demo_readings, demo_second_sheet
from spectro.stand_in.press import PRESS, PressSheet, press_inks, press_measurements
from spectro.stand_in.readings import CREATED
from spectro.workflow.profile.assess import profile_assess
from spectro.workflow.profile.build import profile_build

RECIPE = "rgb-a4-strip"
FEWEST_INKS, PATCHES_AN_INK, CHECKED = 3, 190, 300  # invented
FOLDER = "spectro-demo"


def demo(
    out: Path | None = None,
    inks: tuple[str, ...] = (),
    *,
    progress: Callable[[str, float], None] = lambda what, done: None,
) -> DemoResult:
    """Make a chart, print and read it on the stand-in, build a profile and assess it against a second sheet.

    out: the folder to make; None: `spectro-demo` in the current folder, with a number where that exists. inks: by name, of a
    press behind a RIP; none: a photo printer behind its RGB driver.
    Raises InputError for inks that the press does not know, OutputExistsError or OutputFileError; a folder that exists is
    never written into.
    """
    start = time.perf_counter()
    sheets = _ink_sheets(inks) if inks else None
    folder = _new_folder(out)
    progress("chart: pages to print", 0.0)
    chart = folder / "chart"
    write_chart_folder(sheets.chart if sheets else demo_pages(), chart)
    progress("stand-in: printing and reading", 0.3)
    readings = folder / "readings-m1.txt"
    second = folder / "second-sheet-m1.txt"
    read = (sheets.first, sheets.second) if sheets else (demo_readings(), demo_second_sheet())
    for path, measurements in zip((readings, second), read, strict=True):
        write_cgats(measurement_table(measurements, extra_header=[("PRINT_CONDITIONS", NOTE)]), path)
    progress("profile", 0.35)
    printer = PRESS if inks else "Stand-in printer"
    settings = ProfileSettings(printer=printer, paper="stand-in matte", driver_settings="invented data")
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
        pages=int(sheets.chart.positions[:, 0].max()) if sheets else 1,
    )


def demo_pages() -> Chart:
    """Return the demo's chart, laid out by a ready recipe; its places are those the stand-in's readings name."""
    chosen = demo_chart()
    recipe = dataclasses.replace(read_recipe(RECIPE), title="Demo chart (invented data)", patches=len(chosen))
    return lay_out(recipe, chosen.steps, ("demo",) * len(chosen), RECIPE)


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _InkSheets:
    """The chart of a press, and the readings of two sheets: of that chart, and of another one."""

    chart: Chart
    first: MeasurementSet
    second: MeasurementSet


def _ink_sheets(inks: tuple[str, ...]) -> _InkSheets:
    """Return the demo's sheets of a press. Raises InputError for inks that it does not know."""
    known = press_inks()
    unknown = [name for name in inks if name not in known]
    if unknown or not FEWEST_INKS <= len(inks) <= MOST_INKS or len(set(inks)) < len(inks):
        raise InputError(
            f"the inks {', '.join(inks)}",
            f"{FEWEST_INKS} to {MOST_INKS} different ones of {', '.join(sorted(known))}",
            "Choose others with `inks`.",
        )
    recipe = dataclasses.replace(read_recipe(RECIPE), title="Demo chart (invented data)", channels=list(inks), pages=None)
    charts = [
        design_chart(dataclasses.replace(recipe, patches=patches, seed=seed), RECIPE, silent, None)
        for patches, seed in ((PATCHES_AN_INK * len(inks), 1), (CHECKED, 2))
    ]
    dates = (CREATED, SECOND_CREATED)
    first, second = (
        press_measurements(
            PressSheet(
                device=chart.device,
                positions=chart.positions,
                sample_ids=chart.sample_ids,
                sample_names=chart.sample_names,
            ),
            inks,
            seed=number,
            sheet_seed=10 + number,
            created=date,
            origin=NOTE,
        )
        for number, (chart, date) in enumerate(zip(charts, dates, strict=True), start=1)
    )
    return _InkSheets(chart=charts[0], first=first, second=second)


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
