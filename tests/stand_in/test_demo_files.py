"""The files in `demo_measurements/` hold what the seeds give, and say that it is invented."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from spectro.files.cgats import pack_cgats
from spectro.readings.load import load_readings
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.demo import demo_chart, demo_readings, demo_second_sheet

FOLDER = Path(__file__).resolve().parents[2] / "demo_measurements"
CONTROL = tuple(f"demo-control-2026-{day}-m1.txt" for day in ("01-05", "02-02", "03-02", "03-30"))
FILES = ("demo-chart.txt", "demo-readings-m1.txt", "demo-second-sheet-m1.txt", "demo-greys-m1.txt", *CONTROL)


def made_tables():
    spec = importlib.util.spec_from_file_location("demo_measurements_make", FOLDER / "make.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.tables()


def plain_columns(name):
    """Read a file with tabs and nothing else in mind: column name to cells, apart from the project's own reader."""
    lines = (FOLDER / name).read_text("utf-8").splitlines()
    fields = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split("\t")
    rows = [line.split("\t") for line in lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]]
    return dict(zip(fields, zip(*rows, strict=True), strict=True))


def numbers(columns, names):
    return np.array([[float(cell) for cell in columns[name]] for name in names]).T


@pytest.mark.parametrize(
    ("name", "make"), [("demo-readings-m1.txt", demo_readings), ("demo-second-sheet-m1.txt", demo_second_sheet)]
)
def test_readings_in_files_are_those_of_the_seed(name, make):
    """Every value, to the file's last digit; device values as 0 to 255."""
    columns, readings = plain_columns(name), make()
    assert columns["SAMPLE_ID"] == readings.sample_ids
    assert columns["SAMPLE_NAME"] == readings.sample_names
    np.testing.assert_array_equal(numbers(columns, ("RGB_R", "RGB_G", "RGB_B")), np.round(readings.device * 255))
    np.testing.assert_array_equal(numbers(columns, ("PAGE", "ROW", "COLUMN")), readings.positions)
    spectral = numbers(columns, [f"SPECTRAL_NM{nm:.0f}" for nm in WAVELENGTHS])
    np.testing.assert_allclose(spectral, readings.reflectance, rtol=0, atol=1.1e-5)
    assert (spectral == readings.reflectance).mean() > 0.999  # another processor may round a last digit otherwise


@pytest.mark.parametrize(
    ("name", "make"), [("demo-readings-m1.txt", demo_readings), ("demo-second-sheet-m1.txt", demo_second_sheet)]
)
def test_files_are_read_back_as_the_same_readings(name, make):
    """The project's reader finds in the file what the demo makes in memory, condition, backing and date too."""
    read, made = load_readings([FOLDER / name]), make()
    np.testing.assert_array_equal(read.device, made.device)
    np.testing.assert_array_equal(read.positions, made.positions)
    np.testing.assert_allclose(read.reflectance, made.reflectance, rtol=0, atol=1.1e-5)
    for field in ("sample_ids", "sample_names", "colour_space", "condition", "backing", "created", "instrument"):
        assert getattr(read, field) == getattr(made, field)


def test_chart_in_file_is_the_demo_chart():
    """Ids, names, steps and places."""
    columns, chart = plain_columns("demo-chart.txt"), demo_chart()
    assert columns["SAMPLE_ID"] == chart.sample_ids
    assert columns["SAMPLE_NAME"] == chart.sample_names
    np.testing.assert_array_equal(numbers(columns, ("RGB_R", "RGB_G", "RGB_B")), chart.steps)
    np.testing.assert_array_equal(numbers(columns, ("PAGE", "ROW", "COLUMN")), chart.positions)


@pytest.mark.parametrize("name", FILES)
def test_script_makes_the_file(name):
    """The script that stands beside the files makes them, header and all; only last digits may differ."""
    text = pack_cgats(made_tables()[name])
    made, held = text.splitlines(), (FOLDER / name).read_text("utf-8").splitlines()
    assert len(made) == len(held)
    start = held.index("BEGIN_DATA")
    assert made[:start] == held[:start]
    assert sum(a != b for a, b in zip(made, held, strict=True)) <= 2


@pytest.mark.parametrize("name", [*FILES, "README.md"])
def test_invented_data_says_so(name):
    """No one who opens a file can take it for measured, before the first row."""
    text = (FOLDER / name).read_text("utf-8")
    assert "invented" in text.split("BEGIN_DATA\n")[0].lower()
