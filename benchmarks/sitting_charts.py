"""Charts for campaigns of sittings, printed on real spectra: what each strip of a print really is, and reading it once.

Two kinds: charts of ready recipes on the printer of real spectra (`real_printer.py`), with a sheet of its own a print; and
charts adopted from rows of measured prints (RGB photo inkjet on two papers, CMYK characterization charts), whose spectra
are those that were measured. Each reading has noise of its own, and so has each sweep.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from real_printer import DATA, _printed, draw_sheet, read, real_printer

from spectro.files.cgats import write_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.workflow.chart.adopt import chart_adopt
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting_plan import SittingPlan, sitting_plan

SWEEP = 0.0015  # of the reflectance, by which one sweep differs from another; invented
RECIPES = (
    ("rgb-a4-strip", 400, "matte", "M0"),
    ("rgb-a4-strip", 800, "glossy", "M2"),
    ("rgb-aperture-8mm-strip", 200, "glossy", "M0"),
    ("rgb-aperture-4.5mm-strip", 400, "glossy", "M0"),
    ("rgb-aperture-2.5mm-strip", 600, "matte", "M2"),
    ("rgb-letter-strip", 300, "matte", "M0"),
)
"""Recipe, patches, paper, condition."""
MEASURED = (
    ("photo-inkjet-matte/chart-b-2420-m0", True),
    ("photo-inkjet-matte/chart-a-2033-m2", True),
    ("photo-inkjet-glossy/chart-680-m0", True),
    ("photo-inkjet-glossy/chart-680-m2", True),
    ("cmyk-10deg/it874-1617-m1", True),
    ("offset-coated-fogra51/fogra51-spectral", False),
    ("offset-board/board-spectral", False),
)
"""Files of measured prints, and whether their rows stand in the order of a chart (else they are drawn at random)."""


@dataclass(frozen=True, eq=False)
class PrintedChart:
    """A chart and what its prints are."""

    name: str
    folder: Path
    plan: SittingPlan
    condition: str
    wavelengths: np.ndarray
    print_it: Callable[[np.random.Generator], np.ndarray]
    """Draws a print: its spectra (n, bands) by row of the chart."""

    @property
    def strips(self) -> int:
        return len(self.plan.units)


def sweep(true: np.ndarray, rows: tuple[int, ...], rng: np.random.Generator) -> np.ndarray:
    """Return the spectra of patches as read once, at one go."""
    return read(true[list(rows)], rng) * (1 + rng.normal(0, SWEEP))


def by_recipe(folder: Path, recipe: str, patches: int, paper: str, condition: str) -> PrintedChart:
    """Return a chart of a ready recipe on the printer of real spectra."""
    if not folder.exists():  # placing patches takes half a minute: charts of an earlier run serve again
        chart_new(recipe, folder, patches=patches)
    plan = sitting_plan(folder)
    printer = real_printer(paper, condition)

    def print_it(rng: np.random.Generator) -> np.ndarray:
        sheet = draw_sheet(printer, rng)
        return np.maximum(_printed(printer, plan.chart.device, plan.chart.positions, sheet), 1e-4)

    return PrintedChart(f"{recipe} {paper}", folder, plan, condition, printer.wavelengths, print_it)


def adopted(folder: Path, file: str, ordered: bool, strips: int, length: int, pages: int, seed: int) -> PrintedChart:
    """Return a chart adopted from rows of a measured print, with so many strips of that length."""
    measured = load_readings([DATA / f"{file}.txt"])
    rng = np.random.default_rng(seed)
    count = min(strips * length, len(measured) // length * length)
    start = int(rng.integers(len(measured) - count + 1))
    rows = np.arange(start, start + count) if ordered else rng.permutation(len(measured))[:count]
    part = replace(
        measured, sample_ids=tuple(str(n + 1) for n in range(count)), sample_names=("",) * count,
        device=measured.device[rows], reflectance=measured.reflectance[rows], positions=np.zeros((0, 3), dtype=np.int64),
    )  # fmt: skip
    listed = folder.with_suffix(".txt")
    a_page = -(-count // length // pages)
    if not folder.exists():
        write_cgats(measurement_table(part), listed)
        chart_adopt([listed], folder, patches_a_strip=length, strips_a_page=a_page)
    plan = sitting_plan(folder)
    where = {tuple(values): row for row, values in enumerate(part.device.tolist())}
    true = part.reflectance[[where[tuple(values)] for values in plan.chart.device.tolist()]]
    return PrintedChart(file.split("/")[1], folder, plan, str(part.condition), part.wavelengths, lambda _: true)


def all_charts(work: Path, seed: int) -> list[PrintedChart]:
    """Return the charts of the campaign: six of recipes, 21 of measured prints, 10 to 40 strips of 10 to 27 patches.

    Most have few and short strips, which are told apart least.
    """
    rng = np.random.default_rng(seed)
    found = [by_recipe(work / f"recipe-{n}", *one) for n, one in enumerate(RECIPES)]
    for n, (file, ordered) in enumerate(MEASURED * 3):
        length = int(rng.integers(10, 17))
        strips, pages = 10 + int(31 * rng.random() ** 3), 1 + int(rng.random() < 0.6)
        found.append(adopted(work / f"measured-{n}", file, ordered, strips, length, pages, seed + n))
    return [chart for chart in found if 10 <= chart.strips <= 40]


def few_charts(work: Path, seed: int) -> list[PrintedChart]:
    """Return two small charts of measured prints, for the short form."""
    return [
        adopted(work / "a", "photo-inkjet-glossy/chart-680-m0", True, 10, 12, 2, seed),
        adopted(work / "b", "cmyk-10deg/it874-1617-m1", True, 10, 12, 1, seed),
    ]
