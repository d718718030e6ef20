"""Every report of the package, made by its commands from demo data and invented displays, lights and prints."""

import contextlib
import dataclasses
import io
from pathlib import Path

import numpy as np

from spectro.chart.design import design_chart
from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.chart.recipe import read_recipe
from spectro.cli.main import run
from spectro.colour.lights import named_light
from spectro.colour.rgb_spaces import curve_light, primaries_matrix, space_chromaticities
from spectro.files.cgats import pack_cgats
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.demo import demo_second_sheet
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.path_pages import FOUR_PATHS, print_path_page
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, chart_measurements

DEMO = Path(__file__).resolve().parents[1] / "demo_measurements"
M1 = MeasurementCondition.M1


@dataclasses.dataclass(frozen=True)
class Made:
    """One report: how it is called, its page and its PDF where it has them."""

    name: str
    page: Path | None
    pdf: Path | None
    figures: int  # a page must hold at least so many


def make_reports(folder: Path) -> tuple[Made, ...]:
    """Make every report in an empty folder. Raises RuntimeError with what a command said where it fails."""
    first, second = DEMO / "demo-readings-m1.txt", DEMO / "demo-second-sheet-m1.txt"
    profile = folder / "stand-in.icc"
    _run("profile", "build", first, "--out", profile)
    controls = sorted(DEMO.glob("demo-control-*.txt"))
    light, display = _light(folder / "lamp.csv"), _display(folder / "display.csv")
    paths = _paths(folder)
    turned = _turned(folder / "turned.txt")
    made = [
        _both(folder, "assessment", 5, "profile", "assess", profile, second),
        _both(folder, "paper", 4, "paper", "describe", first),
        _both(folder, "papers", 5, "paper", "compare", f"old={first}", f"new={second}"),
        _both(folder, "three-papers", 3, "paper", "compare", f"old={first}", f"new={second}", f"kept={turned}", "--weight",
              "gamut=2", "black=1"),
        _both(folder, "settings", 2, "paper", "compare", "--one-paper", f"fine={first}", f"fast={second}"),
        _both(folder, "monochrome", 4, "profile", "monochrome", DEMO / "demo-greys-m1.txt", "--grey-aim", "neutral"),
        _both(folder, "drift-quiet", 2, "drift", *controls, "--profile", profile),
        _both(folder, "drift", 2, "drift", *controls[:1], *_short_of_ink(folder), "--profile", profile,
              "--event", "2026-05-12=new ink"),
        _both(folder, "path-test", 2, "chart", "path-test", "--readings", *paths, "--scale-bar", "fit to page=97",
              "--profile", profile),
        _both(folder, "viewing", 2, "viewing", profile, "--viewing", "P2", "--screen-luminance", "250"),
        _both(folder, "viewing-display", 5, "viewing", profile, "--lux", "450", "--illuminant", light, "--display", display,
              "--aim-space", "sRGB"),
        _picture(folder, "readings", 1, first),
        _picture(folder, "readings-turned", 1, turned, "--predict-with", first),
    ]  # fmt: skip
    pages = folder / "proof-page"
    _run("profile", "proof-page", profile, "--out", pages)
    _run("readings", "take", pages, "--instrument", "stand-in", "--out", folder / "proof.txt")
    made.append(_both(folder, "proof", 2, "profile", "assess", profile, "--proof", folder / "proof.txt", "--chart", pages))
    _run("viewing", profile, "--viewing", "P2", "--white-field", folder / "white-field.html")
    made.append(Made("white-field", folder / "white-field.html", None, 0))
    _run("profile", "show", profile, "--renders", folder / "renders")
    made += [Made("renders", page, None, 1) for page in (folder / "renders").glob("*.html")]
    shelf = ("--shelf", folder / "shelf")
    _run("shelf", "new", *shelf, "--printer", "Stand-in", "--paper", "Matte", "--media-setting", "Matte")
    _run("profile", "build", first, "--out", folder / "on-shelf.icc", "--on-shelf", "stand-in", *shelf)
    _run("shelf", "list", "stand-in", *shelf, "--settings-sheet", folder / "settings-sheet.pdf")
    made.append(Made("settings-sheet", None, folder / "settings-sheet.pdf", 0))
    return tuple(made)


def _both(folder: Path, name: str, figures: int, *words: object) -> Made:
    page, pdf = folder / f"{name}.html", folder / f"{name}.pdf"
    _run(*words, "--report", page, "--pdf", pdf)
    return Made(name, page, pdf, figures)


def _picture(folder: Path, name: str, figures: int, readings: Path, *words: object) -> Made:
    page, pdf = folder / f"{name}.html", folder / f"{name}.pdf"
    for path in (page, pdf):
        _run("readings", "show", readings, *words, "--draw", path)
    return Made(name, page, pdf, figures)


def _run(*words: object) -> None:
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        code = run([str(word) for word in (*words, "--quiet")])
    if code not in (0, 3):
        raise RuntimeError(f"spectro {' '.join(map(str, words))}: exit {code}: {said.getvalue()}")


def _write(measurements, path: Path) -> Path:
    path.write_text(pack_cgats(measurement_table(measurements)), encoding="utf-8")
    return path


def _short_of_ink(folder: Path) -> list[Path]:
    """A history of checks, quiet at first, then with light magenta failing: invented."""
    chart = design_chart(read_recipe("rgb-control-patch"))
    dates = ("2026-02-02", "2026-03-02", "2026-03-30", "2026-04-27", "2026-05-25", "2026-06-22")
    made = []
    for number, date in enumerate(dates):
        printer = Printer() if number < 4 else lost_nozzles(Printer(), "light magenta", 0.1)
        readings = chart_measurements(
            chart,
            ReadSheet(
                printer=printer,
                paper=matte_paper(),
                instrument=Instrument(),
                condition=M1,
                seed=40 + number,
                sheet_seed=140 + number,
            ),
            created=f"{date}T00:00:00Z",
        )
        made.append(_write(readings, folder / f"control-{date}.txt"))
    return made


def _paths(folder: Path) -> list[str]:
    chart = design_path_test(path_test_recipe())
    named = []
    for number, setup in enumerate(FOUR_PATHS):
        sheet = print_path_page(setup, chart.device, chart.positions, paper=matte_paper(), condition=M1, seed=10 * number)
        named.append(f"{setup.name}={_write(sheet.readings, folder / f'path-{number}.txt')}")
    return named


def _turned(target: Path) -> Path:
    """The demo's second sheet with one strip read from the wrong end, and one patch with dust on it."""
    sheet = demo_second_sheet()
    reflectance = sheet.reflectance.copy()
    strip = np.flatnonzero((sheet.positions[:, 0] == 1) & (sheet.positions[:, 2] == 3))
    reflectance[strip] = reflectance[strip[::-1]]
    reflectance[-3] *= 0.6
    return _write(dataclasses.replace(sheet, reflectance=reflectance), target)


def _light(path: Path) -> Path:
    power = named_light("F8").power
    path.write_text("nm,power\n" + "".join(f"{nm},{value:.5f}\n" for nm, value in zip(range(360, 781), power, strict=True)))
    return path


def _display(path: Path) -> Path:
    """Readings of an invented display, too bright, too blue and uneven."""
    chromaticities = np.array(space_chromaticities("P3-D65"))
    chromaticities[3] = (0.300, 0.312)
    greys = np.arange(0, 256, 15) / 255
    rgb = [(grey,) * 3 for grey in greys]
    rgb += [(1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0)]
    names, share = ["-"] * len(rgb), [1.0] * len(rgb)
    for level in (1.0, 128 / 255, 64 / 255):
        rgb += [(level,) * 3] * 9
        names += [f"{row} {column}" for row in ("top", "middle", "bottom") for column in ("left", "centre", "right")]
        share += [0.86, 0.97, 0.91, 0.98, 1.0, 0.96, 0.9, 0.95, 0.83]
    matrix = primaries_matrix(chromaticities)
    light = curve_light(np.array(rgb, dtype=np.float64), "sRGB") ** 1.06 @ matrix.T * 300 + matrix.sum(axis=1) * 0.3
    lines = ["id,RGB_R,RGB_G,RGB_B,XYZ_X,XYZ_Y,XYZ_Z,PLACE"]
    for number, (signal, xyz, name, part) in enumerate(zip(rgb, light, names, share, strict=True), 1):
        cells = [f"{255 * value:.3f}" for value in signal] + [f"{value * part:.4f}" for value in xyz]
        lines.append(",".join([str(number), *cells, name]))
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path
