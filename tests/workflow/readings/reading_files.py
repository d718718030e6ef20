"""Files of readings for tests: an invented chart of two pages, printed and read on the stand-in, and its mistakes."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from spectro.files.cgats import write_cgats
from spectro.files.chart_table import chart_table
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import print_and_read

PAGES, STRIPS, ROWS = 2, 6, 15
LETTERS = "ABCDEFGHIJKL"


@dataclass(frozen=True)
class Printed:
    """The chart, and readings of one print of it."""

    chart: Path
    device: np.ndarray
    reflectance: np.ndarray

    def strips(self, page: int | None = None) -> list[np.ndarray]:
        """Readings strip by strip, of all pages or one of them."""
        cut = list(np.split(self.reflectance, PAGES * STRIPS))
        return cut if page is None else cut[(page - 1) * STRIPS : page * STRIPS]


def places() -> np.ndarray:
    return np.array([(p + 1, r + 1, s + 1) for p in range(PAGES) for s in range(STRIPS) for r in range(ROWS)])


def names() -> list[str]:
    return [f"{LETTERS[p * STRIPS + s]}{r + 1}" for p in range(PAGES) for s in range(STRIPS) for r in range(ROWS)]


def device_values() -> np.ndarray:
    rng = np.random.default_rng(6)
    count = PAGES * STRIPS * ROWS
    corners = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).T.reshape(-1, 3).astype(float)
    greys = np.repeat(np.linspace(0, 1, 16)[:, None], 3, axis=1)
    spread = np.round(rng.random((count - 24 - 20, 3)) * 255) / 255
    repeats = np.tile(spread[:5], (4, 1))
    values = np.concatenate([corners, greys, spread, repeats])
    return values[rng.permutation(count)]


def read_print(device: np.ndarray, seed: int, *, sheet: int = 3, printer: Printer | None = None) -> np.ndarray:
    return print_and_read(
        device, printer=printer or Printer(), paper=matte_paper(), instrument=Instrument(),
        condition=MeasurementCondition.M1, seed=seed, sheet_seed=sheet,
    )  # fmt: skip


def write_chart(path: Path, device: np.ndarray) -> Path:
    ids = [str(row + 1) for row in range(len(device))]
    write_cgats(chart_table(ids, names(), "RGB", device, places()), path)
    return path


def write_readings(
    path: Path,
    spectra: np.ndarray | list[np.ndarray],
    *,
    ids: list[str] | None = None,
    labels: list[str] | None = None,
    device: np.ndarray | None = None,
    condition: str = "M1",
) -> Path:
    """Write readings as an instrument's software may: with or without ids, names, device values."""
    together = np.concatenate(spectra) if isinstance(spectra, list) else spectra
    fields = [f"SPECTRAL_NM{nm:g}" for nm in WAVELENGTHS]
    rows = [[f"{value:.6f}" for value in row] for row in together]
    if device is not None:
        fields = ["RGB_R", "RGB_G", "RGB_B", *fields]
        rows = [[*(f"{255 * value:.0f}" for value in mine), *row] for mine, row in zip(device, rows, strict=True)]
    for name, words in (("SAMPLE_NAME", labels), ("SAMPLE_ID", ids)):
        if words is not None:
            fields = [name, *fields]
            rows = [[word, *row] for word, row in zip(words, rows, strict=True)]
    lines = ["CGATS.17", 'CREATED\t"2026-02-01T10:00:00Z"']
    if condition:
        lines.append(f'MEASUREMENT_SOURCE\t"MeasurementCondition={condition}"')
    lines += ["BEGIN_DATA_FORMAT", "\t".join(fields), "END_DATA_FORMAT", f"NUMBER_OF_SETS\t{len(rows)}", "BEGIN_DATA"]
    path.write_text("\n".join([*lines, *("\t".join(row) for row in rows), "END_DATA", ""]), "utf-8")
    return path
