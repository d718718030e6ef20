"""Print paths told apart: how often the path test names what a path does, on many printers and for several inventions.

    python benchmarks/print_paths.py [--seeds 100] [--data ../shared/data]

Printers: the stand-in on its two papers with its own noise, its sheets and its rules; sixteen invented drivers
(`invented_drivers.py`); and, where the data is, models of a real photo inkjet on matte and glossy paper, with the noise of a
reading added. Paths: those of the stand-in, and a second invention with other gammas, matrices and enhancements, none of
which the judgement knows. All is invented but the two models' readings.
"""

import argparse
import itertools
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from invented_drivers import FAMILY

from spectro.chart.path_pages import design_path_test, path_test_recipe
from spectro.checks.path_prints import path_prints
from spectro.colour.tristimulus import spectra_to_lab
from spectro.maths.spread import farthest_points
from spectro.model.gaussian_process import fit_gaussian_process
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.conditions import MeasurementCondition
from spectro.records.path_test import PathPrint, PathTest
from spectro.stand_in.paper import Paper, glossy_paper, matte_paper
from spectro.stand_in.path_pages import FOUR_PATHS, PathSetup, print_path_page
from spectro.stand_in.print_path import PrintPath, along_path
from spectro.workflow.chart.path_test import judge_prints

Send = Callable[[np.ndarray], np.ndarray]
CHART = design_path_test(path_test_recipe())
DEVICE = np.unique(CHART.device, axis=0)
NOISE = 0.15  # of Lab, where a printer has none of its own
MODEL_PATCHES = 600


def _s_curve(x: np.ndarray, bend: float) -> np.ndarray:
    return np.clip(x - bend * np.sin(2 * np.pi * x) / np.pi, 0, 1)


def _matrix(rows: list[list[float]], before: float, after: float) -> Send:
    return lambda x: np.clip(np.clip(x, 0, 1) ** before @ np.array(rows).T, 0, 1) ** (1 / after)


def _stretch(x: np.ndarray, by: float) -> np.ndarray:
    grey = (x @ [0.3, 0.59, 0.11])[:, None]
    return np.clip(grey + by * (x - grey), 0, 1)


def _bent_saturation(x: np.ndarray) -> np.ndarray:
    """Saturation raised on a curve that keeps greys and full colours: nothing is cut off."""
    most = x.max(axis=1, keepdims=True)
    part = (most - x.min(axis=1, keepdims=True)) / np.maximum(most, 1e-9)
    return most - (most - x) / np.maximum(part, 1e-9) * (1 - (1 - part) ** 1.4)


CONVERTED: dict[str, Send] = {
    "stand-in's": lambda x: along_path(x, PrintPath.SRGB_CONVERTED),
    "narrow to wide, gamma 2.2 to 1.8": _matrix([[0.85, 0.12, 0.03], [0.05, 0.93, 0.02], [0.02, 0.06, 0.92]], 2.2, 1.8),
    "narrow to very wide": _matrix([[0.65, 0.30, 0.05], [0.12, 0.83, 0.05], [0.02, 0.12, 0.86]], 2.2, 2.2),
    "a little wider, lighter": _matrix([[0.90, 0.08, 0.02], [0.03, 0.96, 0.01], [0.01, 0.04, 0.95]], 2.0, 2.4),
}
ENHANCED: dict[str, Send] = {
    "stand-in's": lambda x: along_path(x, PrintPath.VIVID),
    "saturation 1.35, contrast": lambda x: _s_curve(_stretch(x, 1.35), 0.05),
    "saturation 1.15, darker": lambda x: _stretch(x, 1.15) ** 1.1,
    "saturation on a curve": _bent_saturation,
    "contrast alone": lambda x: _s_curve(x, 0.2),
    "wide to narrow, cut off": _matrix([[1.25, -0.20, -0.05], [-0.06, 1.10, -0.04], [0.0, -0.08, 1.08]], 2.2, 2.2),
}
TONES: dict[str, Send] = {
    "gamma 0.7": lambda x: x**0.7,
    "gamma 1.22": lambda x: along_path(x, PrintPath.GAMMA),
    "gamma 1.5": lambda x: x**1.5,
}


def stand_in_prints(setups: Sequence[PathSetup], paper: Paper, seed: int) -> tuple[PathPrint, ...]:
    """Print and read one page a path on the stand-in, each on a sheet of its own."""
    sheets = {
        setup.name: print_path_page(
            setup, CHART.device, CHART.positions, paper=paper, condition=MeasurementCondition.M1, seed=1000 * seed + 10 * index
        )
        for index, setup in enumerate(setups)
    }
    rules = {name: [length / 100 for length in sheet.rule_mm] for name, sheet in sheets.items()}
    return path_prints({name: sheet.readings for name, sheet in sheets.items()}, rules, "D50", 2)


def answers(result: PathTest) -> dict[str, tuple[str, str, bool | None]]:
    """Return what was found of each path."""
    return {found.name: (str(found.seems), str(found.sureness), found.scaled) for found in result.findings}


WANTED = {
    "plain": ("raw", False),
    "converted": ("converted", False),
    "fit to page": ("raw", True),
    "vivid": ("enhanced", False),
}


def four_paths(seeds: int) -> None:
    """Four paths in any order, two of them, and equal ones."""
    for word, paper in (("matte", matte_paper()), ("glossy", glossy_paper())):
        right, two, pairs, false = 0, Counter[str](), 0, 0
        for seed in range(seeds):
            order = np.random.default_rng(seed).permutation(4).tolist()
            found = answers(judge_prints(stand_in_prints([FOUR_PATHS[i] for i in order], paper, seed)))
            right += all(found[name][0] == seems and found[name][2] == scaled for name, (seems, scaled) in WANTED.items())
            for other in (1, 3):
                found = answers(judge_prints(stand_in_prints([FOUR_PATHS[other], FOUR_PATHS[0]], paper, seed + 5000)))
                name = FOUR_PATHS[other].name
                two[name] += found["plain"][0] == "raw" and found[name][0] == WANTED[name][0]
            same = [PathSetup(name=name) for name in ("a", "b", "c")]
            result = judge_prints(stand_in_prints(same, paper, seed + 9000))
            pairs += 3
            false += int((result.differences[np.triu_indices(3, 1)] > result.same_limit).sum())
            false += sum(found.sureness != "cannot tell" for found in result.findings)
        print(f"{word}: four paths, any order: all four named right in {right} of {seeds}")
        print(f"{word}: raw and one other, right in {dict(two)} of {seeds} each")
        print(f"{word}: three equal paths: {false} false alarms in {pairs} pairs")


def printers(data: Path | None) -> dict[str, Callable[[np.ndarray], np.ndarray]]:
    """Return printers by name: device values to Lab."""
    found: dict[str, Callable[[np.ndarray], np.ndarray]] = {f"driver {i}": one.lab for i, one in enumerate(FAMILY)}
    for name, file in (
        ("real matte", "photo-inkjet-matte/chart-b-2420-m0.txt"),
        ("real glossy", "photo-inkjet-glossy/chart-680-m0.txt"),
    ):
        if data is None or not (data / file).is_file():
            print(f"{name}: no data")
            continue
        readings = load_readings([data / file])
        means = average_repeats(readings)
        lab = spectra_to_lab(means.reflectance, readings.wavelengths)
        rows = farthest_points(means.device, MODEL_PATCHES)
        found[name] = fit_gaussian_process(means.device[rows], lab[rows]).predict
    return found


def many_printers(seeds: int) -> None:
    """Two paths on many printers: raw and one other, for every invention."""
    kinds = (("converted", CONVERTED), ("enhanced", ENHANCED), ("other tones", TONES))
    for kind, inventions in kinds:
        for name, send in inventions.items():
            outcome: Counter[str] = Counter()
            for index, (_, lab) in enumerate(printers_found.items()):
                for seed in range(seeds):
                    draw = np.random.default_rng([index, seed])
                    plain = lab(DEVICE) + NOISE * draw.normal(size=DEVICE.shape)
                    other = lab(np.clip(send(DEVICE), 0, 1)) + NOISE * draw.normal(size=DEVICE.shape)
                    pages = [
                        PathPrint(name="plain", device=DEVICE, lab=plain, noise=NOISE),
                        PathPrint(name="other", device=DEVICE, lab=other, noise=NOISE),
                    ]
                    found = answers(judge_prints(pages[:: 1 if seed % 2 else -1]))
                    if found["plain"][0] == "raw" and found["other"][0] == kind:
                        outcome["right"] += 1
                    elif found["plain"][1] == "cannot tell":
                        outcome["left open"] += 1
                    else:
                        outcome["wrong"] += 1
            print(f"{kind:<12}{name:<34}{dict(outcome)}")


def triples(seeds: int) -> None:
    """Raw with one of each of the other inventions, on the invented drivers: everything right, left open, or wrong."""
    outcome: Counter[str] = Counter()
    for lab in printers_found.values():
        for seed, (first, second) in enumerate(itertools.product(CONVERTED, ENHANCED)):
            for turn in range(max(1, seeds // 10)):
                draw = np.random.default_rng([seed, turn])
                sends = {"plain": lambda x: x, "conv": CONVERTED[first], "viv": ENHANCED[second]}
                pages = [
                    PathPrint(
                        name=name,
                        device=DEVICE,
                        lab=lab(np.clip(send(DEVICE), 0, 1)) + NOISE * draw.normal(size=DEVICE.shape),
                        noise=NOISE,
                    )
                    for name, send in sends.items()
                ]
                found = answers(judge_prints(pages))
                if [found[name][0] for name in sends] == ["raw", "converted", "enhanced"]:
                    outcome["right"] += 1
                elif found["plain"][0] == "raw" or found["plain"][1] == "cannot tell":
                    outcome["raw right or left open, another not"] += 1
                else:
                    outcome["wrong"] += 1
    print(f"raw, converted, enhanced together: {dict(outcome)}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=100)
    parser.add_argument("--data", type=Path, default=Path(__file__).resolve().parents[1].parent / "shared" / "data")
    given = parser.parse_args()
    four_paths(given.seeds)
    printers_found = printers(given.data if given.data.is_dir() else None)
    many_printers(max(2, given.seeds // 10))
    triples(given.seeds)
