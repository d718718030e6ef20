"""A refresh with 60 patches after an invented head clean, against a whole chart read anew, over several seeds.

    python benchmarks/refresh.py [SEEDS]

The old chart is printed while two inks are 4 to 12 % short (the last line: 5 to 20 %), the fresh patches and the new chart
after the clean, on one sheet. Accuracy: mean ΔE00 of 2000 colours on another sheet of the clean printer, as read; and, what
nobody can read, of the truth of the fresh sheet itself, without any noise.
"""

import sys

import numpy as np

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.refresh import refreshed_readings, telling_rows
from spectro.colour.difference import delta_e_2000
from spectro.colour.tristimulus import spectra_to_lab
from spectro.records.conditions import MeasurementCondition
from spectro.records.measurement import MeasurementSet
from spectro.stand_in.bands import WAVELENGTHS
from spectro.stand_in.demo import demo_chart
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument, read_spectra
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance
from spectro.stand_in.sheet import SheetVariation, vary_sheet

LOSING = ("cyan", "light cyan", "magenta", "light magenta", "yellow")


def truth(device, printer):
    return printed_reflectance(device, printer=printer, paper=matte_paper(), condition=MeasurementCondition.M1)


def readings(device, printer, rng):
    count = len(device)
    return MeasurementSet(
        sample_ids=tuple(str(row + 1) for row in range(count)),
        sample_names=("",) * count,
        colour_space="RGB",
        device=device,
        wavelengths=WAVELENGTHS,
        reflectance=read_spectra(truth(device, printer), Instrument(), rng),
        condition=MeasurementCondition.M1,
        origin="invented",
    )


def one(seed, loss):
    rng = np.random.default_rng([21, seed])
    short = Printer()
    for ink in rng.choice(LOSING, 2, replace=False):
        short = lost_nozzles(short, str(ink), rng.uniform(*loss))
    before, now, later = (vary_sheet(printer, SheetVariation(), rng) for printer in (short, Printer(), Printer()))
    chart = demo_chart().device
    old = readings(chart, before, rng)
    fitted = fit_printer(old)
    fresh = readings(fitted.repeats.device[telling_rows(old, fitted, 60)], now, rng)
    joined = refreshed_readings(old, fresh, fitted).readings
    models = (fitted.model, fit_printer(readings(chart, now, rng)).model, fit_printer(joined).model)
    points = np.random.default_rng(9).random((2000, 3))
    seen = spectra_to_lab(read_spectra(truth(points, later), Instrument(), rng), WAVELENGTHS)
    true = spectra_to_lab(truth(points, now), WAVELENGTHS)
    return [[float(delta_e_2000(model.predict(points), lab).mean()) for model in models] for lab in (seen, true)]


def main(seeds):
    for loss in ((0.04, 0.12), (0.05, 0.20)):
        every = np.array([one(seed, loss) for seed in range(seeds)])  # (seeds, 2, 3)
        for words, found in zip(("another sheet, as read", "the fresh sheet's truth"), np.moveaxis(every, 1, 0), strict=True):
            old, new, refreshed = found.T
            ratio = refreshed / new
            print(
                f"{100 * loss[0]:.0f} to {100 * loss[1]:.0f} % short; {words}: old {old.mean():.3f}, "
                f"new chart {new.mean():.3f}, refreshed {refreshed.mean():.3f}; "
                f"ratio mean {ratio.mean():.3f}, largest {ratio.max():.3f}",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 12)
