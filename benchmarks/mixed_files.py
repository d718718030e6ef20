"""What commands say of files that people mix up, on a printer built otherwise than `real_printer.py`.

    python benchmarks/mixed_files.py [SEED] [--only WORD]

Each case is one whole command; its first words, its exit code and what is true are printed, with an asterisk where calm words
stand over a fault (exit code 0, no word of doubt) or an alarm over a right print. The printer: Neugebauer colours of the
published offset prints (coated and board), dots of Yule and Nielsen, behind an invented RGB driver that makes black of what
cyan, magenta and yellow have in common: kinks, which splines do not have. Sheets, noise of readings and faults of the page are
those of `real_printer.py`.
"""

import contextlib
import functools
import io
import itertools
import os
import sys
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
from real_printer import DATA, draw_sheet, print_page

from spectro.chart.chart_file import parse_chart
from spectro.cli.main import run
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.files.cgats import pack_cgats
from spectro.readings.load import load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition

FILES = {"coated": "offset-coated-fogra51/fogra51-spectral.txt", "board": "offset-board/board-spectral.txt"}
NOWHERE = np.zeros((0, 3), dtype=np.int64)
_N = 2.0  # Yule and Nielsen
_GLOW = 0.07  # of white, what ultraviolet adds around 430 nm


@dataclass(frozen=True, slots=True, eq=False)
class OtherPrinter:
    """Inks of a press behind a driver of RGB. glow: whether the light of the reading holds ultraviolet (M1) or not (M2)."""

    paper: str
    condition: MeasurementCondition
    wavelengths: np.ndarray
    primaries: np.ndarray  # (16, bands), reflectance to the power 1 / n
    powers: tuple[float, ...] = (0.75, 0.8, 0.85)
    black: float = 0.7
    glow: bool = True

    def spectra(self, device):
        """Return the reflectance (n, bands) of device values (n, 3)."""
        asked = (1 - np.clip(device, 0, 1)) ** np.array(self.powers)
        grey = asked.min(axis=1, keepdims=True) ** 2.5 * self.black
        inks = np.hstack([(asked - 0.6 * grey) / (1 - 0.6 * grey * 0.999), grey])
        made = np.zeros((len(device), len(self.wavelengths)))
        for row, dots in enumerate(itertools.product((0, 1), repeat=4)):
            share = np.prod(np.where(np.array(dots), inks, 1 - inks), axis=1)
            made += share[:, None] * self.primaries[row]
        made = made**_N
        if not self.glow:
            near = np.exp(-0.5 * ((self.wavelengths - 430) / 25) ** 2)
            made = made * (1 - _GLOW * near)
        return made

    @property
    def white(self):
        """Return the bare paper."""
        return self.spectra(np.ones((1, 3)))[0]

    def lab(self, reflectance):
        """Return Lab of spectra."""
        return spectra_to_lab(reflectance, self.wavelengths)


@functools.cache
def other_printer(paper):
    """Return the printer on "coated" or "board"."""
    press = load_readings([DATA / FILES[paper]])
    rows = [
        press.reflectance[np.abs(press.device - np.array(dots)).sum(axis=1).argmin()]
        for dots in itertools.product((0.0, 1.0), repeat=4)
    ]
    return OtherPrinter(paper, MeasurementCondition("M1"), press.wavelengths, np.maximum(rows, 1e-4) ** (1 / _N))


def without_glow(printer):
    """Return the printer as read without ultraviolet, though the file says that it was there."""
    return replace(printer, glow=False)


def moved(printer):
    """Return another printer of its kind."""
    return replace(printer, powers=tuple(np.array(printer.powers) * (1.18, 0.9, 1.1)), black=0.5)


class Bench:
    """Files of one printer, and what to do with them."""

    def __init__(self, seed, folder):
        """Draw sheets from seed; files go into folder."""
        self.rng = np.random.default_rng([21, seed])
        self.printer = other_printer(("coated", "board")[seed % 2])
        self.elsewhere = other_printer(("board", "coated")[seed % 2])
        self.folder, self.sheet = folder, draw_sheet(self.printer, self.rng)
        self.files = 0

    def print(self, chart, printer=None, fault="nothing", size=None, *, sheet=None, places=True):
        """Print a chart and read it; return readings and the spectra without noise."""
        printer = printer or self.printer
        page = print_page(
            printer, chart.device, chart.positions, self.rng, fault=fault, size=size,
            sheet=sheet or draw_sheet(self.printer, self.rng),
        )  # fmt: skip
        named = replace(page.readings, sample_ids=chart.sample_ids, sample_names=chart.sample_names)
        return (named if places else replace(named, positions=NOWHERE)), page.true

    def write(self, readings, day="2026-01-05"):
        """Return the path of readings as a file of its own."""
        self.files += 1
        path = self.folder / f"readings-{self.files}.txt"
        dated = replace(readings, created=f"{day}T10:00:00Z")
        path.write_text(pack_cgats(measurement_table(dated)), "utf-8")
        return path

    def chart(self, recipe, patches=None):
        """Return a chart of a recipe, and its folder."""
        self.files += 1
        folder = self.folder / f"chart-{self.files}"
        told(["chart", "new", recipe, "--out", folder, *(["--patches", patches] if patches else [])])
        return chart_of(folder), folder


def chart_of(folder):
    """Return the chart of a folder."""
    return parse_chart((folder / "chart.json").read_text("utf-8"), folder / "chart.json")


def told(words):
    """Run a command; return its exit code and what it says."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = run([str(word) for word in words])
        except SystemExit as stop:
            code = int(stop.code or 0)
    return code, (out.getvalue().strip() or err.getvalue().strip())


def sorted_rows(readings):
    """Return readings whose rows of spectra were sorted by colour, while device values stayed."""
    return replace(readings, reflectance=readings.reflectance[np.argsort(readings.reflectance.sum(axis=1))])


def shifted(readings, by=1):
    """Return readings whose spectra stand one row later."""
    return replace(readings, reflectance=np.roll(readings.reflectance, by, axis=0))


def read_again(bench, readings, true):
    """Return the same sheet read once more."""
    from real_printer import read

    return replace(readings, reflectance=read(true, bench.rng))


def one_wrong(readings, row=None):
    """Return readings with one patch misread: that of the row after the next."""
    made = readings.reflectance.copy()
    row = len(made) // 3 if row is None else row
    made[row] = made[row + 2]
    return replace(readings, reflectance=made)


WAYS = {  # what comes in instead: a printer or a fault of the page, what is done to the rows, and whether it is a right print
    "right": (None, "nothing", None, None, True),
    "wrong paper": ("elsewhere", "nothing", None, None, False),
    "another printer": ("moved", "nothing", None, None, False),
    "read as M2, called M1": ("glow", "nothing", None, None, False),
    "rows sorted by colour": (None, "nothing", None, sorted_rows, False),
    "rows one later": (None, "nothing", None, shifted, False),
    "one patch misread": (None, "nothing", None, one_wrong, False),
    "ink missing": (None, "ink missing", 0.3, None, False),
    "bands": (None, "ink missing in bands", 0.4, None, False),
    "damp": (None, "damp", 0.12, None, False),
    "gamma": (None, "gamma", 0.25, None, False),
    "wrong white": (None, "wrong white", 0.08, None, False),
}


def came_in(bench, chart, way):
    """Return readings of a way, how far their true colours lie from right ones (mean, p95), and whether they are right."""
    who, fault, size, rows, right = WAYS[way]
    printer = {
        None: bench.printer, "elsewhere": bench.elsewhere, "moved": moved(bench.printer), "glow": without_glow(bench.printer)
    }[who]  # fmt: skip
    readings, true = bench.print(chart, printer, fault, size)
    if rows is not None:
        readings, true = rows(readings), rows(replace(readings, reflectance=true)).reflectance
    away = delta_e_2000(bench.printer.lab(true), bench.printer.lab(bench.printer.spectra(chart.device)))
    return readings, (float(away.mean()), float(np.percentile(away, 95))), right


def cases(bench):
    """Yield what a command was given, its words, what is true (mean, p95; None: see the name), and whether it is right."""
    out = bench.folder / "out"
    out.mkdir()
    chart, folder = bench.chart("rgb-a4-strip", 300)
    control, _ = bench.chart("rgb-control-patch")
    first, first_true = bench.print(chart, sheet=bench.sheet)
    old = bench.write(first)
    profile = out / "first.icc"
    yield "build: right", ["profile", "build", old, "--out", profile], None, True
    told(["profile", "refresh", old, "--chart-out", out / "fresh", "--patches", 60])
    fresh = [line.split(",") for line in (out / "fresh" / "refresh-60-patches.csv").read_text().splitlines()[1:]]
    device = np.array(fresh, dtype=np.float64) / 255
    order = bench.rng.permutation(len(device))
    few = replace(
        first, device=device[order], reflectance=first.reflectance[: len(device)], positions=NOWHERE,
        sample_ids=tuple(map(str, range(len(device)))), sample_names=("",) * len(device),
    )  # fmt: skip
    for way in WAYS:
        readings, true, right = came_in(bench, few, way)
        at = out / f"{len(list(out.iterdir()))}.icc"
        yield f"refresh: {way}", ["profile", "refresh", old, bench.write(readings, "2026-03-05"), "--out", at], true, right
    rows = [int(np.abs(first.device - one).sum(axis=1).argmin()) for one in few.device]
    copied = replace(few, reflectance=first.reflectance[rows])
    yield "refresh: rows of the old file", ["profile", "refresh", old, bench.write(copied), "--out", out / "c.icc"], None, False
    reference, _ = bench.print(control, sheet=bench.sheet)
    quiet = [bench.write(bench.print(control)[0], f"2026-02-0{day}") for day in (1, 2, 3)]
    at = bench.write(reference)
    for way in WAYS:
        readings, true, right = came_in(bench, control, way)
        yield f"drift: {way}", ["drift", at, *quiet, bench.write(readings, "2026-03-05")], true, right
    yield "drift: the reference again", ["drift", at, *quiet, bench.write(reference, "2026-03-05")], None, False
    for way in WAYS:
        readings, true, right = came_in(bench, chart, way)
        words = ["readings", "add", bench.write(readings), "--chart", folder, "--out", out / "added.txt", "--replace"]
        yield f"add: {way}", [*words, "--predict-with", old], true, right
        yield f"add alone: {way}", words, true if way in ("bands",) else None, right
    for way in WAYS:
        readings, true, right = came_in(bench, chart, way)
        yield f"compare: {way}", ["paper", "compare", f"old={old}", f"new={bench.write(readings)}"], true, right
    yield "compare: the same file twice", ["paper", "compare", f"old={old}", f"new={bench.write(first)}"], None, False
    again = bench.write(read_again(bench, first, first_true), "2026-01-06")
    other = bench.write(bench.print(chart)[0], "2026-01-07")
    two = ["profile", "build", old, "--another-sheet"]
    yield "build: two sheets", [*two, other, "--out", out / "t.icc", "--replace"], None, True
    yield "build: one sheet read twice as two", [*two, again, "--out", out / "t.icc", "--replace"], None, False
    yield "build: the same file twice", [*two, bench.write(first), "--out", out / "t.icc", "--replace"], None, False
    for way in ("wrong paper", "another printer", "read as M2, called M1", "rows sorted by colour"):
        readings, true, right = came_in(bench, chart, way)
        yield f"build: second sheet {way}", [*two, bench.write(readings), "--out", out / "t.icc", "--replace"], true, right
    told(["profile", "proof-page", profile, "--out", out / "proof"])
    page = chart_of(out / "proof")
    for way in WAYS:
        readings, true, right = came_in(bench, page, way)
        words = ["profile", "assess", profile, "--chart", out / "proof", "--proof", bench.write(readings)]
        yield f"proof: {way}", words, true, right
    greys, _ = bench.chart("grey-medium-patch")
    grey = SimpleNamespace(
        device=np.repeat(greys.device[:, :1], 3, axis=1), positions=greys.positions, sample_ids=greys.sample_ids,
        sample_names=greys.sample_names,
    )  # fmt: skip
    for way in WAYS:
        readings, true, right = came_in(bench, grey, way)
        readings = replace(readings, positions=NOWHERE)
        words = ["profile", "monochrome", bench.write(readings), "--out", out / "m.icc", "--replace"]
        yield f"monochrome: {way}", words, None, right
    for way in ("right", "bands", "rows sorted by colour", "one patch misread"):
        readings, true, right = came_in(bench, chart, way)
        yield f"top-up: {way}", ["profile", "top-up", bench.write(readings)], true, right


DOUBT = (
    "not ", "Not ", "open", "Do not", "look ", "cannot", "another", "Drift", "moved", "uneven", "misread", "left out", "Usable",
    "too few", "differ",
)  # fmt: skip


def main(seed, only):
    """Tell what each command says."""
    here = os.getcwd()
    count = marked = 0
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        for name, words, true, right in cases(Bench(seed, Path(folder))):
            if only and only not in name:
                if name == "build: right":
                    told(words)
                continue
            code, said = told(words)
            first = " ".join(said.split())[:420].replace(folder, "")
            far = true is None or true[0] > 1.5 or true[1] > 3
            calm = code == 0 and not any(word in first for word in DOUBT)
            wrong = (right and code != 0) or (not right and far and calm)
            count, marked = count + 1, marked + wrong
            told_true = "" if true is None else f" [{true[0]:.2f}, {true[1]:.2f}]"
            print(f"{'* ' if wrong else ''}{name}{told_true}: {code} {first}", flush=True)
        os.chdir(here)
    print(f"{count} cases, {marked} to be looked at")


if __name__ == "__main__":
    rest = sys.argv[1:]
    asked = rest[rest.index("--only") + 1] if "--only" in rest else ""
    numbers = [int(word) for word in rest if word.isdigit()]
    main(numbers[0] if numbers else 0, asked)
