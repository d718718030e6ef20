"""What a top-up promises and what it brings, on a printer made of real spectra.

    python benchmarks/top_up_promise.py [CASES] [SEED]

A chart of 120 to 320 patches is read, 60 further ones are chosen, printed on the same sheet and read. Told: what the model
is off by before and after. True: mean ΔE00 of 1500 colours of that sheet, without the noise of readings.
"""

import sys

import numpy as np
from real_printer import PAPERS, draw_sheet, print_page, real_printer
from refresh_verdicts import NOWHERE, chart

from spectro.checks.fitted_printer import fit_printer
from spectro.checks.top_up import further_patches
from spectro.colour.difference import delta_e_2000


def one(seed):
    """Return the size of the chart, told before and after, true before and after."""
    rng = np.random.default_rng([13, seed])
    printer = real_printer(PAPERS[seed % 2])
    sheet, device, points = draw_sheet(printer, rng), chart(int(rng.integers(120, 320))), rng.random((1500, 3))

    def page(values):
        return print_page(printer, values, NOWHERE, rng, sheet=sheet)

    truth = printer.lab(page(points).true)
    old = page(device).readings
    fitted = fit_printer(old)
    found = further_patches(fitted, device, 60)
    whole = page(np.vstack([device, found.device])).readings
    errors = [float(delta_e_2000(model.predict(points), truth).mean()) for model in (fitted.model, fit_printer(whole).model)]
    return len(device), found.before, found.after, *errors


def main(cases, seed):
    """Tell what was found."""
    rows = []
    for number in range(cases):
        size, before, after, true_before, true_after = one(seed + number)
        rows.append((after / before, true_after / true_before, before / true_before, after / true_after))
        print(f"{size}: told {before:.2f} -> {after:.2f}, true {true_before:.2f} -> {true_after:.2f}", flush=True)
    told, true, first, last = np.array(rows).T
    print(f"left of the error: told {told.mean():.2f}, true {true.mean():.2f}")
    power = np.mean(np.log(true) / np.log(told))
    print(f"told over true before {np.median(first):.2f}, after {np.median(last):.2f}; power {power:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
