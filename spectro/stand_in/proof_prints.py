"""A proof page on the stand-in: printed rightly, or with one of the mistakes that its judgement has to name. Invented.

What a program does with a page before the printer sees it (another intent, a second conversion) is the caller's part: it
hands in the device values that come out of it.
"""

from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np

from spectro.records.arrays import FloatArray, IntArray
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.faults import lost_nozzles, other_batch, shifted_printer
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import Paper, glossy_paper, matte_paper
from spectro.stand_in.print_path import PrintPath
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, stand_in_measurements

M0, M1, M2, M3 = (MeasurementCondition(word) for word in ("M0", "M1", "M2", "M3"))


class ProofMishap(StrEnum):
    """What happens between device values and readings."""

    NOTHING = "nothing"
    DRIVER_CONVERTS = "the driver converts"
    DRIVER_GAMMA = "the driver changes gamma"
    DRIVER_ENHANCES = "the driver enhances"
    OTHER_PAPER = "another paper"
    OTHER_BATCH = "another batch of paper"
    READ_M0 = "read under M0"
    READ_M2 = "read under M2"
    READ_M3 = "read under M3"
    PRINTER_MOVED = "the printer has moved"
    DARK_INK_LOST = "a dark ink is weak"
    LIGHT_INK_LOST = "a light ink is weak"


_PATHS = {
    ProofMishap.DRIVER_CONVERTS: PrintPath.SRGB_CONVERTED,
    ProofMishap.DRIVER_GAMMA: PrintPath.GAMMA,
    ProofMishap.DRIVER_ENHANCES: PrintPath.VIVID,
}
_READ = {ProofMishap.READ_M0: M0, ProofMishap.READ_M2: M2, ProofMishap.READ_M3: M3}
_STRONGER = (0.05, 0.08)  # relative change of every ink's density when the printer has moved


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofPlace:
    """Where and how a page is printed when nothing goes wrong."""

    printer: Printer = field(default_factory=Printer)
    paper: Paper = field(default_factory=matte_paper)


def print_proof(
    device: FloatArray, positions: IntArray, mishap: ProofMishap, *, seed: int, place: ProofPlace | None = None
) -> MeasurementSet:
    """Print device values (n, 3), 0 to 1, on a sheet of its own with a mishap, and read them; M1 is what is stated.

    positions: (n, 3) page, row, column from 1. Every seed gives another sheet, other noise and another size of the mishap.
    """
    usual = place or ProofPlace()
    rng = np.random.default_rng([seed, list(ProofMishap).index(mishap)])
    printer, paper = _setting(usual, mishap, rng)
    readings = stand_in_measurements(
        device,
        ReadSheet(
            printer=printer,
            paper=paper,
            instrument=Instrument(),
            condition=_READ.get(mishap, M1),
            seed=seed,
            sheet_seed=seed + 500,
        ),
        positions=positions,
        description=f"proof page, {mishap} (invented)",
    )
    return replace(readings, condition=M1)


def _setting(usual: ProofPlace, mishap: ProofMishap, rng: np.random.Generator) -> tuple[Printer, Paper]:
    printer, paper = usual.printer, usual.paper
    if mishap in _PATHS:
        return replace(printer, driver=replace(printer.driver, path=_PATHS[mishap])), paper
    match mishap:
        case ProofMishap.OTHER_PAPER:
            glossy = paper.name == glossy_paper().name
            return printer, matte_paper() if glossy else glossy_paper()
        case ProofMishap.OTHER_BATCH:
            change = {"blue": -rng.uniform(0.02, 0.035), "level": -rng.uniform(0.015, 0.025)}
            return printer, other_batch(paper, brightener=0.0, **change)
        case ProofMishap.PRINTER_MOVED:
            way = float(rng.choice([-1.0, 1.0]))
            stronger = way * rng.uniform(*_STRONGER, len(printer.inks))
            return shifted_printer(printer, stronger.tolist(), (0.2 * stronger).tolist()), paper
        case ProofMishap.DARK_INK_LOST:
            return lost_nozzles(printer, str(rng.choice(["cyan", "magenta", "yellow"])), rng.uniform(0.25, 0.5)), paper
        case ProofMishap.LIGHT_INK_LOST:
            return lost_nozzles(printer, str(rng.choice(["light cyan", "light magenta"])), rng.uniform(0.3, 0.7)), paper
    return printer, paper
