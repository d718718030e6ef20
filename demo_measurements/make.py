"""Write the demo's invented data as files: `python demo_measurements/make.py`, from the checkout.

The same seeds give the same bytes; a test compares them with the files that are there.
"""

from pathlib import Path

from spectro.files.cgats_pack import write_cgats
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import chart_table
from spectro.readings.write import measurement_table
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.demo_chart import demo_chart
from spectro.stand_in.demo_data import NOTE, demo_readings, demo_second_sheet
from spectro.stand_in.monochrome import NOTE as GREY_NOTE
from spectro.stand_in.monochrome import monochrome_readings
from spectro.stand_in.paper import matte_paper

FOLDER = Path(__file__).resolve().parent


def tables() -> dict[str, CgatsTable]:
    """Return the table of each file, by the file's name."""
    chart = demo_chart()
    return {
        "demo-chart.txt": chart_table(
            chart.sample_ids,
            chart.sample_names,
            "RGB",
            chart.device,
            chart.positions,
            header=[("DESCRIPTOR", "Demo chart, 459 patches"), ("PRINT_CONDITIONS", NOTE)],
        ),
        "demo-readings-m1.txt": _readings(demo_readings()),
        "demo-second-sheet-m1.txt": _readings(demo_second_sheet()),
        "demo-greys-m1.txt": _readings(monochrome_readings(), GREY_NOTE),
    }


def _readings(measurements: MeasurementSet, note: str = NOTE) -> CgatsTable:
    return measurement_table(measurements, extra_header=[("MATERIAL", matte_paper().name), ("PRINT_CONDITIONS", note)])


def main() -> None:
    """Write all files, over those that are there."""
    for name, table in tables().items():
        write_cgats(table, FOLDER / name, replace=True)
        print(f"{name}: {len(table.rows)} rows")


if __name__ == "__main__":
    main()
