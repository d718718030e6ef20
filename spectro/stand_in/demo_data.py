"""The demo's readings, made from their seeds: the same data as the files in `demo_measurements/`. Invented."""

from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.demo_chart import DemoChart, demo_chart, second_chart
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import CREATED, stand_in_measurements

SECOND_CREATED = "2026-01-08T00:00:00Z"  # invented: a week after the first sheet
FIRST_SEED, FIRST_SHEET = 1, 11  # invented
SECOND_SEED, SECOND_SHEET = 2, 12  # invented
NOTE = "invented data: stand-in printer on a stand-in matte paper, no real device"


def demo_readings() -> MeasurementSet:
    """Return the readings of the demo chart: 459 patches, M1, read on the stand-in.

    >>> readings = demo_readings()
    >>> len(readings), str(readings.condition), readings.colour_space
    (459, 'M1', 'RGB')
    """
    return _read(demo_chart(), FIRST_SEED, FIRST_SHEET, CREATED)


def demo_second_sheet() -> MeasurementSet:
    """Return the readings of a sheet with other colours, printed another day: 156 patches, M1."""
    return _read(second_chart(), SECOND_SEED, SECOND_SHEET, SECOND_CREATED)


def _read(chart: DemoChart, seed: int, sheet_seed: int, created: str) -> MeasurementSet:
    return stand_in_measurements(
        chart.device,
        sample_ids=chart.sample_ids,
        sample_names=chart.sample_names,
        positions=chart.positions,
        printer=Printer(),
        paper=matte_paper(),
        instrument=Instrument(),
        condition=MeasurementCondition.M1,
        seed=seed,
        sheet_seed=sheet_seed,
        created=created,
        origin=NOTE,
        description=f"Stand-in printer (invented) on {matte_paper().name}",
    )
