"""An instrument that moves by 0.5 ΔE00 between the halves of a sitting: is it caught, and how often is a still one accused?

    python benchmarks/sitting_shifts.py --trials 2000 [--seed 1]

Anchors of ready charts (a strip, or 12 patches read one by one) are read on the stand-in, and again after a shift: of gain,
an offset, a tilt or a bend of the spectrum, or a shift along the wavelengths, either way, sized to 0.5 ΔE00 in the mean of
the chart's patches. As in a sitting, anchors that do not agree are read once more and the mean of the two readings is held
against the first: caught is what disagrees then too. The short form is a test.
"""

import argparse
import json
import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from pathlib import Path

import numpy as np

from spectro.checks.anchor_agreement import anchor_agreement
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import glossy_paper, matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting_plan import sitting_plan

KINDS = ("gain", "offset", "tilt", "bend", "wavelength")
SIZE = 0.5  # ΔE00


def moved(true: np.ndarray, kind: str, amount: float) -> np.ndarray:
    """Return spectra (n, bands) as an instrument reads them that has moved by an amount of some kind."""
    along = (WAVELENGTHS - WAVELENGTHS.mean()) / np.ptp(WAVELENGTHS)
    match kind:
        case "gain":
            return true * (1 + amount)
        case "offset":
            return np.maximum(true + 0.05 * amount, 0)
        case "tilt":
            return true * (1 + 2 * amount * along)
        case "bend":
            return true * (1 + 4 * amount * (along**2 - (along**2).mean()))
    return np.maximum(true + 20 * amount * np.gradient(true, WAVELENGTHS, axis=1), 0)


def sized(true: np.ndarray, kind: str, sign: int, size: float) -> np.ndarray:
    """Return spectra moved so that they differ by size in the mean ΔE00."""
    lab = spectra_to_lab(true, WAVELENGTHS)
    low, high = 0.0, 0.9
    for _ in range(30):
        middle = (low + high) / 2
        found = delta_e_2000(lab, spectra_to_lab(moved(true, kind, sign * middle), WAVELENGTHS)).mean()
        low, high = (middle, high) if found < size else (low, middle)
    return moved(true, kind, sign * middle)


def refused(first: np.ndarray, again: np.ndarray, rows: np.ndarray, rng: np.random.Generator) -> bool:
    """Tell whether a sitting would refuse to join: anchors read before (true spectra first), and after (again)."""

    def lab(true: np.ndarray) -> np.ndarray:
        return spectra_to_lab(read_spectra(true[rows], Instrument(), rng), WAVELENGTHS)

    reference, once = lab(first), lab(again)
    if anchor_agreement(reference, once).agree:
        return False
    return not anchor_agreement(reference, (once + lab(again)) / 2).agree


def campaign(trials: int, seed: int, work: Path, patches: int = 300) -> dict[str, dict[str, float]]:
    """Return the share of shifts of each kind that are caught, and of still instruments that are accused."""
    rng = np.random.default_rng(seed)
    found: dict[str, dict[str, float]] = {}
    for recipe in ("rgb-a4-strip", "rgb-medium-strip", "rgb-a4-patch"):
        chart_new(recipe, work / recipe, patches=patches)
        plan = sitting_plan(work / recipe)
        rows = np.array(plan.anchor_rows)
        device = plan.chart.device
        for paper in (matte_paper(), glossy_paper()):
            true = printed_reflectance(device, printer=Printer(), paper=paper, condition=MeasurementCondition.M1)
            cases = {f"{kind} {sign:+d}": sized(true, kind, sign, SIZE) for kind in KINDS for sign in (1, -1)} | {"none": true}
            for name, shifted in cases.items():
                count = trials if name == "none" else trials // (2 * len(KINDS))
                hits = sum(refused(true, shifted, rows, rng) for _ in range(count))
                kind = name.split()[0]
                part = found.setdefault(f"{recipe}, {len(rows)} anchors", {})
                part[f"{kind} caught"] = part.get(f"{kind} caught", 0) + hits
                part[f"{kind} of"] = part.get(f"{kind} of", 0) + count
    return found


def main() -> None:
    import tempfile

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print(json.dumps(campaign(arguments.trials, arguments.seed, Path(folder)), indent=1))


if __name__ == "__main__":
    main()
