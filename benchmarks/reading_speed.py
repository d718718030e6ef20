"""How long reading takes: one file of 2000 patches in each format, and 100 such files at once. Invented numbers.

    python benchmarks/reading_speed.py [--patches 2000] [--files 100]

Times are without the start-up of Python and the first import; limits are 0.3 s for a file and 15 s for a hundred.
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from spectro.files.cgats import write_cgats
from spectro.readings.load import load_any_readings, load_readings
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet

ONE, MANY = 0.3, 15.0  # s


def invented(patches: int, sheet: int = 1) -> MeasurementSet:
    """Return readings of one invented chart; each sheet of it reads a little else, as a copy of readings would be refused."""
    rng = np.random.default_rng(1)
    strips, rows = -(-patches // 25), 25
    places = [(1, row % rows + 1, row // rows + 1) for row in range(patches)]
    return MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(patches)),
        sample_names=tuple(f"P{row + 1}" for row in range(patches)),
        colour_space="RGB",
        device=np.round(rng.random((patches, 3)) * 255) / 255,
        wavelengths=np.arange(380.0, 731.0, 10.0),
        reflectance=np.round(rng.random((patches, 36)) + 0.001 * sheet * rng.random((patches, 1)), 5),
        condition=MeasurementCondition.M1,
        positions=np.array(places) if strips else np.zeros((0, 3)),
    )


def as_csv(readings: MeasurementSet, path: Path) -> Path:
    lines = [",".join(["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B", *(f"{nm:g}" for nm in readings.wavelengths)])]
    for row, identity in enumerate(readings.sample_ids):
        device = [f"{255 * value:.0f}" for value in readings.device[row]]
        lines.append(",".join([identity, *device, *(f"{value:g}" for value in readings.reflectance[row])]))
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def as_spreadsheet(csv: Path, path: Path) -> Path:
    from openpyxl import Workbook

    book = Workbook()
    for number, line in enumerate(csv.read_text("utf-8").splitlines()):
        cells = line.split(",")
        book.active.append(cells if not number else [cells[0], *map(float, cells[1:])])
    book.save(path)
    return path


def as_exchange(readings: MeasurementSet, path: Path) -> Path:
    objects = []
    for row, name in enumerate(readings.sample_names):
        device = "".join(
            f"<c:{key}>{255 * value:.0f}</c:{key}>" for key, value in zip("RGB", readings.device[row], strict=True)
        )
        levels = " ".join(f"{value:g}" for value in readings.reflectance[row])
        spectrum = (
            f'<c:ReflectanceSpectrum ColorSpecification="S" StartWL="380" Increment="10">{levels}</c:ReflectanceSpectrum>'
        )
        objects.append(
            f'<c:Object ObjectType="Standard" Name="{name}" Id="i{row}"><c:CreationDate>2026-01-01T00:00:00</c:CreationDate>'
            f"<c:ColorValues>{spectrum}</c:ColorValues>"
            f"<c:DeviceColorValues><c:ColorRGB>{device}</c:ColorRGB></c:DeviceColorValues></c:Object>"
        )
    path.write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<c:CxF xmlns:c="http://colorexchangeformat.com/CxF3-core"><c:Resources>'
        f"<c:ObjectCollection>{chr(10).join(objects)}</c:ObjectCollection>"
        '<c:ColorSpecificationCollection><c:ColorSpecification Id="S"><c:MeasurementSpec>'
        "<c:MeasurementType>Spectrum_Reflectance</c:MeasurementType><c:Device><c:DeviceIllumination>M1_Daylight"
        "</c:DeviceIllumination></c:Device></c:MeasurementSpec></c:ColorSpecification></c:ColorSpecificationCollection>"
        "</c:Resources></c:CxF>\n",
        "utf-8",
    )
    return path


def median_time(work: Callable[[], object], runs: int) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--patches", type=int, default=2000)
    parser.add_argument("--files", type=int, default=100)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        readings = invented(options.patches)
        text = folder / "one.txt"
        write_cgats(measurement_table(readings), text)
        csv = as_csv(readings, folder / "one.csv")
        for words, path in (
            ("CGATS", text),
            ("CSV", csv),
            (".xlsx", as_spreadsheet(csv, folder / "one.xlsx")),
            ("CxF", as_exchange(readings, folder / "one.cxf")),
        ):
            load_readings([path])
            took = median_time(lambda path=path: load_readings([path]), 5)
            print(f"{words:6} {options.patches} patches: {took:.3f} s (limit {ONE} s){'' if took <= ONE else '  MISSED'}")
        files = []
        for number in range(options.files):
            files.append(folder / f"{number:03}.txt")
            write_cgats(measurement_table(invented(options.patches, 2 + number)), files[-1])
        for words, work in (
            ("one after another", lambda: [load_readings([path]) for path in files]),
            ("together", lambda: load_any_readings(files)),
        ):
            took = median_time(work, 1)
            print(
                f"{options.files} files of {options.patches} patches {words}: {took:.1f} s "
                f"(limit {MANY:g} s){'' if took <= MANY else '  MISSED'}"
            )


if __name__ == "__main__":
    main()
