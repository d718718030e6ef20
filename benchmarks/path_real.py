"""Print paths judged on two real papers: alone, in pairs and in fours, with and without a raw page and a reference.

    python benchmarks/path_real.py [SEEDS] [FIRST] [--show]

The printer is that of `real_printer.py`; the reference is a model of one chart of it. Told: converted paths called raw, raw
paths blamed, raw paths left open although a reference is there.
"""

import sys
from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
from print_paths import CHART, CONVERTED, ENHANCED, TONES
from real_printer import PAPERS, RealPrinter, Sheet, print_page, real_printer

from spectro.chart.spread import even_points
from spectro.checks.fitted_printer import fit_printer
from spectro.checks.path_prints import path_prints
from spectro.checks.path_reference import path_reference
from spectro.records.arrays import FloatArray
from spectro.records.path_test import PathReference, PathSeems
from spectro.workflow.chart.path_test import judge_prints

Send = Callable[[FloatArray], FloatArray]


def _wave(bend: float) -> Send:
    return lambda x: np.clip(x - bend * np.sin(2 * np.pi * x), 0, 1)


PATHS: dict[str, Send] = {
    **CONVERTED,
    **{f"enhanced, {name}": send for name, send in ENHANCED.items()},
    **TONES,
    "gamma 1.05": lambda x: x**1.05,
    "gamma 0.95": lambda x: x**0.95,
    "gamma 1.1": lambda x: x**1.1,
    "slight curve": _wave(0.02),
    "curve": _wave(0.05),
    "curve back": _wave(-0.03),
    "ends pulled in": lambda x: 0.03 + 0.94 * x,
    "black lifted": lambda x: 0.05 + 0.95 * x,
}


def chart_reference(printer: RealPrinter, seed: int) -> PathReference:
    """Return what a model of a chart of 600 even patches gives the page's different device values."""
    device = np.concatenate([np.rint(even_points(600, 3, 1) * 255) / 255, np.unique(CHART.device, axis=0)])
    chart = print_page(
        printer, device, np.zeros((0, 3), dtype=np.int64), np.random.default_rng([1, seed]), sheet=Sheet()
    ).readings
    prints = path_prints({"a": _page(printer, lambda x: x, np.random.default_rng(0))}, {}, "D50", 2)
    return path_reference(fit_printer(chart).model.predict, prints[0].device)


def _page(printer: RealPrinter, send: Send, rng: np.random.Generator):  # type: ignore[no-untyped-def]
    return print_page(printer, CHART.device, CHART.positions, rng, sent=np.clip(send(CHART.device), 0, 1)).readings


def case(
    printer: RealPrinter, names: Sequence[str], rng: np.random.Generator, reference: PathReference | None, show: bool = False
) -> Counter[str]:
    """Print and judge some paths, "raw" among them or not, and count what is wrong."""
    sends: dict[str, Send] = {"raw": lambda x: x, **PATHS}
    sets = {name: _page(printer, sends[name], rng) for name in names}
    found = Counter[str]()
    for one in judge_prints(
        path_prints(sets, {}, "D50", 2), "M0", reference, "a chart" if reference is not None else ""
    ).findings:
        raw = one.name == "raw"
        found["paths"] += 1
        found[f"called raw: {one.name}"] += not raw and one.seems is PathSeems.RAW
        found["raw blamed"] += raw and str(one.sureness) != "cannot tell" and one.seems is not PathSeems.RAW
        found["raw left open"] += raw and str(one.sureness) == "cannot tell"
        found["raw"] += raw
        found["open"] += str(one.sureness) == "cannot tell"
        if show and raw and str(one.sureness) != "cannot tell" and one.seems is not PathSeems.RAW:
            print("    raw blamed among", list(names), one.seems, one.reasons, flush=True)
    return found


def main(seeds: int, first: int, show: bool) -> None:
    """Run the campaign."""
    for referenced in (True, False):
        total = Counter[str]()
        for paper in PAPERS:
            printer = real_printer(paper)
            for seed in range(first, first + seeds):
                reference = chart_reference(printer, seed) if referenced else None
                rng = np.random.default_rng([seed, PAPERS.index(paper)])
                names = list(PATHS)
                sets = [[name] for name in ("raw", *names)] + [["raw", name] for name in names]
                sets += [rng.choice(names, 2, replace=False).tolist() for _ in names]
                sets += [["raw", *rng.choice(names, 3, replace=False).tolist()] for _ in names]
                sets += [rng.choice(names, 4, replace=False).tolist() for _ in names]
                for one in sets:
                    total += case(printer, one, rng, reference, show)
        wrong = {key: count for key, count in total.items() if key.startswith("called")}
        print(
            f"{'with' if referenced else 'without'} a reference, {len(PATHS)} kinds of paths, {total['paths']} judged: "
            f"converted called raw {sum(wrong.values())} {wrong or ''}; raw blamed {total['raw blamed']} of {total['raw']}, "
            f"left open {total['raw left open']}; of all, left open {total['open']}",
            flush=True,
        )


if __name__ == "__main__":
    numbers = [word for word in sys.argv[1:] if word.isdigit()]
    main(int(numbers[0]) if numbers else 2, int(numbers[1]) if len(numbers) > 1 else 0, "--show" in sys.argv)
