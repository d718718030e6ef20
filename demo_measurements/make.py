"""Write the demo's invented data as files: `python demo_measurements/make.py`, from the checkout.

The same seeds give the same bytes; a test compares them with the files that are there.
"""

from pathlib import Path

import numpy as np
from PIL import Image

from spectro.chart.channels import CMYK
from spectro.chart.design import design_chart
from spectro.chart.ink_patches import set_up_points
from spectro.chart.recipe import read_recipe
from spectro.colour.srgb import lab_to_srgb
from spectro.files.cgats import write_cgats
from spectro.files.cgats_table import CgatsTable
from spectro.files.chart_table import chart_table
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.demo import NOTE, demo_chart, demo_readings, demo_second_sheet
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.monochrome import NOTE as GREY_NOTE
from spectro.stand_in.monochrome import monochrome_readings
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.photograph import photograph
from spectro.stand_in.press import PressSheet, press_measurements
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, chart_measurements

PICTURE = "demo-photograph.png"
FOLDER = Path(__file__).resolve().parent
CONTROL = {"2026-01-05": (201, 0.0), "2026-02-02": (202, 0.0), "2026-03-02": (203, 0.0), "2026-03-30": (204, 0.09)}
INKS_NOTE = "Invented: a simulated press that lays too much ink; no real press, paper or instrument"
FULL_AT = (0.86, 0.9, 1.0, 0.92)  # of cyan, magenta, yellow, black: where each prints no more; invented
# day: seed, and the share of light magenta's nozzles that is blocked; invented


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
        **{f"demo-control-{date}-m1.txt": _readings(_control(date)) for date in CONTROL},
        "demo-greys-m1.txt": _readings(monochrome_readings(), GREY_NOTE),
        "demo-ink-ramps-m1.txt": _readings(_ink_ramps(), INKS_NOTE),
    }


def _control(date: str) -> MeasurementSet:
    """Return readings of the ready control chart, printed and read on a day of the invented printer's life."""
    chart = design_chart(read_recipe("rgb-control-patch"))
    seed, short = CONTROL[date]
    return chart_measurements(
        chart,
        ReadSheet(
            printer=lost_nozzles(Printer(), "light magenta", short),
            paper=matte_paper(),
            instrument=Instrument(),
            condition=MeasurementCondition.M1,
            seed=seed,
            sheet_seed=seed,
        ),
        created=f"{date}T00:00:00Z",
        origin=NOTE,
        description="Control print of the stand-in printer (invented)",
    )


def _ink_ramps() -> MeasurementSet:
    """Return readings of ramps and overprints on the invented press, with a media setting that lays too much ink."""
    device = np.vstack([np.zeros((2, 4)), np.eye(4), set_up_points(CMYK, None)])
    device = np.vstack([device[:1], np.unique(device, axis=0)])
    order = np.random.default_rng(61).permutation(len(device))
    ids = tuple(str(number) for number in range(1, len(device) + 1))
    sheet = PressSheet(
        device=device[order], positions=np.zeros((0, 3), dtype=int), sample_ids=ids, sample_names=("",) * len(ids)
    )
    return press_measurements(
        sheet, CMYK, seed=62, sheet_seed=63, created="2026-01-12T00:00:00Z", origin=INKS_NOTE, full_at=FULL_AT
    )


def _readings(measurements: MeasurementSet, note: str = NOTE) -> CgatsTable:
    return measurement_table(measurements, extra_header=[("MATERIAL", matte_paper().name), ("PRINT_CONDITIONS", note)])


def picture() -> Image.Image:
    """Return the made-up photograph, half as large as it is computed, in sRGB and without a profile."""
    shrunk = photograph().reshape(240, 2, 360, 2, 3).mean(axis=(1, 3))
    return Image.fromarray((lab_to_srgb(shrunk) * 255 + 0.5).astype(np.uint8))


def main() -> None:
    """Write all files, over those that are there."""
    picture().save(FOLDER / PICTURE, optimize=True)
    for name, table in tables().items():
        write_cgats(table, FOLDER / name, replace=True)
        print(f"{name}: {len(table.rows)} rows")


if __name__ == "__main__":
    main()
