"""The device model against a cross-validated thin-plate spline on an invented printer with kinks, whose truth is known.

    SPECTRO_CHECK_DATA=… python benchmarks/spline.py [118 300 900]

The invented printer lies beside the check data (`kinked_printer.py`); it is no part of the project. Farthest-point subsets
of 12 000 random points, noise 0.2, seeds 0 to 4, mean ΔE00 of 5000 points without noise. The spline is scipy's, its smoothing
the best of 13 by five folds.
"""

import importlib.util
import os
import sys
from pathlib import Path

import numpy as np
from scipy.interpolate import RBFInterpolator

from spectro.colour.difference import delta_e_2000
from spectro.maths.spread import farthest_points
from spectro.model.gaussian_process import fit_gaussian_process

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
SMOOTHINGS = np.logspace(-6, 0, 13)


def spline(device, lab):
    """Return the thin-plate spline of least five-fold error."""
    fold = np.random.default_rng(0).permutation(len(device)) % 5

    def error(smoothing):
        parts = []
        for held in range(5):
            rest = fold != held
            fitted = RBFInterpolator(device[rest], lab[rest], kernel="thin_plate_spline", smoothing=smoothing)
            parts.append(((fitted(device[~rest]) - lab[~rest]) ** 2).mean())
        return np.mean(parts)

    best = min(SMOOTHINGS, key=error)
    return RBFInterpolator(device, lab, kernel="thin_plate_spline", smoothing=best)


def main():
    spec = importlib.util.spec_from_file_location("kinked_printer", DATA.parent / "kinked_printer.py")
    kinked = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(kinked)
    printer = kinked.KinkedPrinter()
    for count in [int(word) for word in sys.argv[1:]] or [118, 300, 900]:
        found = []
        for seed in range(5):
            random = np.random.default_rng(seed)
            pool = random.random((12_000, 3))
            device = pool[farthest_points(pool, count)]
            lab = kinked.with_noise(printer.lab(device), random, 0.2)
            points = random.random((5000, 3))
            true = printer.lab(points)
            predictions = fit_gaussian_process(device, lab).predict(points), spline(device, lab)(points)
            found.append([delta_e_2000(one, true).mean() for one in predictions])
        model, other = np.mean(found, axis=0)
        print(f"{count} patches: model {model:.4f}, spline {other:.4f}, ratio {model / other:.3f}", flush=True)


if __name__ == "__main__":
    main()
