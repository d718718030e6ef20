"""Invented histories of a control print: a reference, quiet checks, then checks after something happened. For tests.

Sheets and readings differ as everywhere on the stand-in. A happening is scaled to a stated size where it has one.
"""

from collections.abc import Callable
from enum import StrEnum

import numpy as np

from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.errors import InputError
from spectro.records.arrays import FloatArray
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.faults import Wetness, lost_nozzles, other_batch, shifted_printer, wet_reflectance
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import Paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet

CONDITION = MeasurementCondition.M1
SHIFT = 0.8  # mean ΔE00 over the print of a shift, and of lost nozzles
PAPER_CHANGE = (1.0, 2.0)  # ΔE00 of the bare paper between batches, invented
_LOSING = ("cyan", "light cyan", "magenta", "light magenta", "yellow")  # black is hidden by the others where it is dense
_STEPS = 14


class Happening(StrEnum):
    """What happens after the quiet checks."""

    NOTHING = "nothing"
    SHIFT = "shift of the whole printer"
    NOZZLES = "lost nozzles of one ink"
    WET = "wet print"
    PAPER = "new paper batch"


def invented_history(
    device: FloatArray, happening: Happening, seed: int, *, quiet: int = 8, after: int = 3
) -> tuple[FloatArray, str]:
    """Return readings (1 + quiet + after, n, 36) of one control print over time, and the ink that lost nozzles, or "".

    device: (n, 3), 0 to 1, in reading order, bare paper among them. The first reading is the reference.
    """
    rng = np.random.default_rng([seed, list(Happening).index(happening)])
    calm = [_read(device, Printer(), matte_paper(), None, rng) for _ in range(1 + quiet)]
    printer, paper, wetness, ink = _after(device, happening, rng)
    rest = [_read(device, printer, paper, wetness, rng) for _ in range(after)]
    return np.stack([*calm, *rest]), ink


def _read(device: FloatArray, printer: Printer, paper: Paper, wetness: Wetness | None, rng: np.random.Generator) -> FloatArray:
    sheet = vary_sheet(printer, SheetVariation(), rng)
    if wetness is not None:
        true = wet_reflectance(device, printer=sheet, paper=paper, condition=CONDITION, wetness=wetness)
    else:
        true = printed_reflectance(device, printer=sheet, paper=paper, condition=CONDITION)
    return read_spectra(true, Instrument(), rng)


def _after(device: FloatArray, happening: Happening, rng: np.random.Generator) -> tuple[Printer, Paper, Wetness | None, str]:
    printer, paper = Printer(), matte_paper()
    match happening:
        case Happening.NOTHING:
            return printer, paper, None, ""
        case Happening.SHIFT:
            way = float(rng.choice([-1.0, 1.0]))
            strengths, increases = way * (1 + 0.5 * rng.standard_normal((2, len(printer.inks))))

            def shifted(size: float) -> Printer:
                change = np.clip(0.1 * size * increases, -0.06, 0.06).tolist()
                return shifted_printer(printer, (0.3 * size * strengths).tolist(), change)

            return shifted(_size(device, lambda size: (shifted(size), paper), SHIFT)), paper, None, ""
        case Happening.NOZZLES:
            ink = str(rng.choice(_LOSING))
            share = _size(device, lambda size: (lost_nozzles(printer, ink, 0.9 * size), paper), SHIFT)
            return lost_nozzles(printer, ink, 0.9 * share), paper, None, ink
        case Happening.WET:
            wetness = Wetness(
                density=rng.uniform(0.08, 0.16),
                load=rng.uniform(0.3, 0.8),
                surface=rng.uniform(0.1, 0.25),
                drying=rng.uniform(0.15, 0.6),
            )
            return printer, paper, wetness, ""
        case Happening.PAPER:
            way, wanted = float(rng.choice([-1.0, 1.0])), rng.uniform(*PAPER_CHANGE)
            blue, level = rng.uniform(-0.03, 0.03, 2).tolist()

            def batch(size: float) -> Paper:
                return other_batch(paper, brightener=0.6 * way * size, blue=blue * size, level=level * size)

            white = np.ones((1, 3))
            return printer, batch(_size(white, lambda size: (printer, batch(size)), wanted)), None, ""


def _size(device: FloatArray, make: Callable[[float], tuple[Printer, Paper]], wanted: float) -> float:
    """Return the size, 0 to 1, at which the mean ΔE00 over device values is as wanted. Raises InputError for none."""

    def lab(printer: Printer, paper: Paper) -> FloatArray:
        return spectra_to_lab(printed_reflectance(device, printer=printer, paper=paper, condition=CONDITION), WAVELENGTHS)

    plain, low, high = lab(Printer(), matte_paper()), 0.0, 1.0
    if delta_e_2000(plain, lab(*make(high))).mean() < wanted:
        raise InputError(f"a change of ΔE00 {wanted:g}", "one that this happening can make", "Choose a smaller one.")
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if delta_e_2000(plain, lab(*make(middle))).mean() < wanted else (low, middle)
    return high
