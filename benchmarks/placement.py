"""What the places of patches do to the model: ours against scrambled Sobol points and against plain largest holes.

    SPECTRO_CHECK_DATA=… OPENBLAS_NUM_THREADS=1 .venv/bin/python benchmarks/placement.py
        [--counts 118 300] [--seeds 16] [--judges kinked stand-in family matte glossy] [--ways sobol holes ours] [--each]
    … benchmarks/placement.py --curves      (hyperparameters that the likelihood finds on the invented drivers)

The same eight corners and 24-step grey ramp in all. Kinked printer (kinked_printer.py beside the data), stand-in on matte
paper, sixteen invented drivers: noise 0.2 ΔE00 on the readings, the default model, noise-free truth at 5000 random points;
a seed varies the noise, the scrambling and our own start. Real prints: the patches of the chart nearest to the wished ones,
no two the same; scored on the other chart (matte) or the rest of the same (glossy).
"""

import argparse
import functools
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from invented_drivers import FAMILY
from scipy.optimize import linear_sum_assignment
from scipy.stats import qmc

from spectro.chart.patches import corner_steps, grey_steps
from spectro.chart.spread import candidate_steps, farthest_rows, fill_distance, spread_features, spread_patches
from spectro.colour.difference import delta_e_2000
from spectro.colour.lab import xyz_to_lab
from spectro.colour.tristimulus import tristimulus
from spectro.colour.weights import tristimulus_weights
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer, printed_reflectance

DATA = Path(os.environ.get("SPECTRO_CHECK_DATA", Path(__file__).resolve().parents[2] / "shared" / "data"))
REAL = {
    "matte": ("photo-inkjet-matte/chart-b-*-m0.txt", "photo-inkjet-matte/chart-a-2033-m0.txt"),
    "glossy": ("photo-inkjet-glossy/*-m0.txt", None),
}
TESTS = np.random.default_rng(12345).random((5000, 3))
NOISE = 0.2
WEIGHTS = tristimulus_weights(np.arange(380.0, 731.0, 10.0))


def fixed() -> np.ndarray:
    """Corners and greys, the same for all ways; no two alike."""
    return np.unique(np.vstack([corner_steps(3), grey_steps(24)]), axis=0)


def sobol(count: int, seed: int) -> np.ndarray:
    with np.errstate(all="ignore"):
        points = qmc.Sobol(3, scramble=True, seed=seed).random(2 ** int(np.ceil(np.log2(count))))[:count]
    return np.rint(points * 255).astype(int)


def holes(count: int, seed: int) -> np.ndarray:
    """Farthest points in device values and predicted colour: the way of earlier versions."""
    steps, start = candidate_steps(2 ** int(np.ceil(np.log2(max(4096, 8 * count)))), 3, seed), fixed()
    return steps[farthest_rows(spread_features(steps, 0.5), spread_features(start, 0.5), count)]


def ours(count: int, seed: int) -> np.ndarray:
    return spread_patches(fixed(), count, seed)


WAYS = {"sobol": sobol, "holes": holes, "ours": ours}


@functools.cache
def placed(way: str, count: int, seed: int) -> np.ndarray:
    """All patches (count, 3) in steps of 1/255."""
    return np.vstack([fixed(), WAYS[way](count - len(fixed()), seed)])


def stand_in(device: np.ndarray) -> np.ndarray:
    spectra = printed_reflectance(device, printer=Printer(), paper=matte_paper(), condition=MeasurementCondition.M0)
    return xyz_to_lab(tristimulus(spectra, WEIGHTS))


@functools.cache
def truth_of(judge: str):
    if judge == "kinked":
        sys.path.insert(0, str(DATA.parent))
        from kinked_printer import KinkedPrinter

        return KinkedPrinter().lab
    return stand_in if judge == "stand-in" else FAMILY[int(judge.split()[1])].lab


@functools.cache
def readings(pattern: str) -> tuple[np.ndarray, np.ndarray]:
    """Device values and Lab of a chart, readings of the same patch averaged."""
    (path,) = sorted(DATA.glob(pattern))
    lines = path.read_text("latin-1").splitlines()
    rows = [line.split("\t") for line in lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]]
    table = np.array([row[1:40] for row in rows], dtype=float)
    lab = xyz_to_lab(tristimulus(table[:, 3:], WEIGHTS))
    device, where = np.unique(table[:, :3] / 255, axis=0, return_inverse=True)
    where = where.ravel()
    return device, np.stack([np.bincount(where, lab[:, axis]) / np.bincount(where) for axis in range(3)], axis=1)


def score(judge: str, way: str, count: int, seed: int) -> tuple[float, float, float]:
    """Mean, p95 and maximum of ΔE00 of a model built from the patches."""
    steps = placed(way, count, seed)
    if judge in REAL:
        device, lab = readings(REAL[judge][0])
        distance = ((steps[:, None] / 255 - device[None]) ** 2).sum(axis=2)
        _, rows = linear_sum_assignment(distance)
        other = REAL[judge][1]
        rest = np.setdiff1d(np.arange(len(device)), rows)
        tests, true = readings(other) if other else (device[rest], lab[rest])
        model = fit_gaussian_process(device[rows], lab[rows])
    else:
        truth = truth_of(judge)
        device = np.unique(steps, axis=0) / 255
        lab = truth(device)
        error = np.random.default_rng(1000 + seed).normal(size=lab.shape)
        lab_read = lab + error * (0.1 * NOISE / delta_e_2000(lab, lab + 0.1 * error).mean())
        model, tests, true = fit_gaussian_process(device, lab_read), TESTS, truth(TESTS)
    errors = delta_e_2000(model.predict(tests), true)
    return float(errors.mean()), float(np.percentile(errors, 95)), float(errors.max())


def run(job: tuple[str, int, int, list[str]]) -> list[tuple[tuple[str, str, int, int], tuple[float, float, float]]]:
    way, count, seed, judges = job
    done = []
    for judge in judges:
        if judge == "family":
            names = [f"family {number}" for number in range(16) if number % 4 == seed]
        else:
            names = [judge] if judge not in REAL or seed < 8 else []
        done += [((name, way, count, seed), score(name, way, count, seed)) for name in names]
    return done


def show(results: dict, judge: str, count: int, ways: list[str], seeds: list[int]) -> None:
    """Print one row of the table a way; ratios are of means over seeds, ± the standard error of the paired difference."""
    keys = sorted({(name, seed) for name, _, size, seed in results if name.split()[0] == judge and size == count})
    keys = [key for key in keys if key[1] in seeds]
    if not keys:
        return
    base = np.array([results[name, "sobol", count, seed] for name, seed in keys])
    for way in ways:
        mine = np.array([results[name, way, count, seed] for name, seed in keys])
        ratio = mine.mean(axis=0) / base.mean(axis=0)
        spread = (mine - ratio * base).std(axis=0, ddof=1) / np.sqrt(len(keys)) / base.mean(axis=0)
        figures = " / ".join(f"{value:.3f}" for value in mine.mean(axis=0))
        against = " | ".join(f"{ratio[k]:.3f} ± {spread[k]:.3f}" for k in (0, 1))
        fill = np.mean([fill_distance(placed(way, count, seed)) for seed in range(2)])
        print(f"| {judge} | {count} | {way} | {figures} | {against} | {fill:.3f} |", flush=True)


def curves() -> None:
    """Print what the likelihood finds on the invented drivers, 354 patches each."""
    names = "lengths (5), first exponents (5), second exponents (5), noise ratio"
    print(f"driver, light inks, end of light inks; {names}")
    for number, driver in enumerate(FAMILY):
        device = np.unique(np.vstack([fixed(), sobol(300, number)]), axis=0) / 255
        lab, draw = driver.lab(device), np.random.default_rng(number)
        error = draw.normal(size=lab.shape)
        lab = lab + error * (0.1 * NOISE / delta_e_2000(lab, lab + 0.1 * error).mean())
        found = fit_gaussian_process(device, lab).prior.hyperparameters
        print(
            number,
            driver.light,
            driver.light_end.round(2),
            *(getattr(found, name).round(2) for name in ("lengths", "warp_first", "warp_second")),
            f"{found.noise_ratio:.1e}",
        )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--counts", type=int, nargs="+", default=[118, 300])
    parser.add_argument("--seeds", type=int, default=16)
    parser.add_argument("--judges", nargs="+", default=["kinked", "stand-in", "family", "matte", "glossy"])
    parser.add_argument("--ways", nargs="+", default=list(WAYS))
    parser.add_argument("--each", action="store_true", help="also every four seeds apart")
    parser.add_argument("--curves", action="store_true")
    options = parser.parse_args()
    if options.curves:
        return curves()
    ways = list(dict.fromkeys(["sobol", *options.ways]))
    seeds = list(range(options.seeds))
    jobs = [(way, count, seed, options.judges) for way in ways for count in options.counts for seed in seeds]
    results: dict = {}
    with ProcessPoolExecutor(2) as pool:
        for done in pool.map(run, jobs):
            results.update(done)
    print("| judge | patches | places | mean / p95 / max | mean ÷ Sobol | p95 ÷ Sobol | fill distance |")
    print("|---|---|---|---|---|---|---|")
    for judge in options.judges:
        for count in options.counts:
            show(results, judge, count, ways, seeds)
            if options.each:
                for start in range(0, len(seeds), 4):
                    print(f"seeds {start} to {start + 3}:")
                    show(results, judge, count, ways, seeds[start : start + 4])
    return None


if __name__ == "__main__":
    main()
