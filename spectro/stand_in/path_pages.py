"""The page of a path test on the stand-in: printed by one of several invented paths, its scale bar measured, then read."""

from dataclasses import dataclass, replace

import numpy as np

from spectro.errors import InputError
from spectro.records.arrays import ArrayLike, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import Paper
from spectro.stand_in.print_path import PrintPath
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, stand_in_measurements

RULE_MM = 100.0
RULE_SPREAD_MM = 0.1  # invented: how well a person reads a steel rule, standard deviation


@dataclass(frozen=True, slots=True, kw_only=True)
class PathSetup:
    """One invented way from file to paper."""

    name: str
    path: PrintPath = PrintPath.RAW
    scale: float = 1.0  # of the page, 1 = 100 %

    def __post_init__(self) -> None:
        """Refuse a scale that no print dialog offers."""
        if not 0.1 <= self.scale <= 4.0:
            raise InputError(f"scale {self.scale:g}", "0.1 to 4", "Choose another.")


FOUR_PATHS = (
    PathSetup(name="plain"),
    PathSetup(name="converted", path=PrintPath.SRGB_CONVERTED),
    PathSetup(name="fit to page", scale=0.97),
    PathSetup(name="vivid", path=PrintPath.VIVID),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathSheet:
    """What a person has after printing and reading one page."""

    readings: MeasurementSet
    rule_mm: tuple[float, float]  # scale bars as measured, across and down


def print_path_page(
    setup: PathSetup,
    device: ArrayLike,
    positions: IntArray,
    *,
    paper: Paper,
    condition: MeasurementCondition,
    seed: int,
) -> PathSheet:
    """Print a page by a path on a sheet of its own and read it; seed makes sheet, readings and the rule's reading.

    device: (n, 3), 0 to 1; positions: (n, 3) page, row, column from 1. Rules are read to half a tenth of a millimetre.
    """
    plain = Printer()
    readings = stand_in_measurements(
        device,
        ReadSheet(
            printer=replace(plain, driver=replace(plain.driver, path=setup.path)),
            paper=paper,
            instrument=Instrument(),
            condition=condition,
            seed=seed,
            sheet_seed=seed + 1,
        ),
        positions=positions,
        description=f"path test, {setup.name} (invented)",
    )
    read = RULE_MM * setup.scale + RULE_SPREAD_MM * np.random.default_rng([seed, 3]).standard_normal(2)
    across, down = (round(float(value) * 20) / 20 for value in read)
    return PathSheet(readings=readings, rule_mm=(across, down))
