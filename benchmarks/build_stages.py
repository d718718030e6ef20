"""Shares of the time of `spectro profile build` by stage, of processor time on one thread.

    python benchmarks/build_stages.py READINGS.txt [--rounds 3]

Every stage is a function of the package, timed where it is called and without the stages inside it; the least of the rounds
counts. Imports are those of a fresh process. On two processors the tables are made beside each other, so that the clock shows
less than the sum.
"""

import argparse
import functools
import importlib
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from concurrent.futures import Future
from pathlib import Path

STAGES = {
    "reading files": ("spectro.workflow.profile.build", "load_readings"),
    "gate": ("spectro.workflow.profile.build", "pass_gate"),
    "model: hyperparameters": ("spectro.model.gaussian_process", "_search"),
    "model: table of the print path, noise": ("spectro.model.gaussian_process", "find_prior"),
    "model: solved": ("spectro.model.gaussian_process", "solve_exact"),
    "model: forecast": ("spectro.checks.fitted_printer", "forecast"),
    "model: forecast in print": ("spectro.workflow.profile.build", "forecast_print"),
    "device to PCS table": ("spectro.profile.assemble", "device_table"),
    "inverse prepared": ("spectro.profile.assemble", "prepare_inverse"),
    "spacing, with a rough fit": ("spectro.profile.assemble", "fitted_spacing"),
    "gamut and mappings": ("spectro.profile.assemble", "printed_gamut"),
    "gamut mapping": ("spectro.profile.assemble", "gamut_mapping"),
    "colorimetric: nodes": ("spectro.profile.outside_rule.OutsideRule", "device"),
    "colorimetric: points inside": ("spectro.profile.pcs_table", "inside_points"),
    "colorimetric: points outside": ("spectro.profile.pcs_table", "outside_points"),
    "colorimetric: fit": ("spectro.profile.pcs_table", "fit_table"),
    "mapped tables: points": ("spectro.profile.compression", "_family"),
    "mapped tables: fit": ("spectro.profile.compression", "fit_table"),
    "mapped tables: nodes": ("spectro.profile.assemble", "mapped_table"),
    "tables that agree": ("spectro.profile.assemble", "agreeing_table"),
    "gamut tag": ("spectro.profile.assemble", "gamut_lattice"),
    "round trip": ("spectro.workflow.profile.build", "round_trip"),
    "packing": ("spectro.workflow.profile.build", "pack_profile"),
}


class Turn:
    """What stands for a pool of one thread: work is done where it is handed in."""

    def __init__(self, *_):
        pass

    def __enter__(self):
        return self

    def __exit__(self, *_):
        pass

    def submit(self, function, *arguments, **named):
        done = Future()
        done.set_result(function(*arguments, **named))
        return done


def timed(name, function, open_stages, seconds):
    @functools.wraps(function)
    def call(*arguments, **named):
        start = time.process_time()
        open_stages.append(0.0)
        try:
            return function(*arguments, **named)
        finally:
            whole = time.process_time() - start
            seconds[name] += whole - open_stages.pop()
            if open_stages:
                open_stages[-1] += whole

    return call


def place(words):
    """A module, or a class in one."""
    try:
        return importlib.import_module(words)
    except ModuleNotFoundError:
        module, name = words.rsplit(".", 1)
        return getattr(importlib.import_module(module), name)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("readings", type=Path)
    parser.add_argument("--rounds", type=int, default=3)
    arguments = parser.parse_args()
    code = "import time, spectro.workflow.profile.build, spectro.report.profile_document; print(time.process_time())"
    fresh = [float(subprocess.check_output([sys.executable, "-c", code])) for _ in range(arguments.rounds)]

    from spectro.maths import row_blocks
    from spectro.profile import assemble, pcs_table
    from spectro.workflow.profile import build

    row_blocks.threads = lambda: 1
    assemble.ThreadPoolExecutor = pcs_table.ThreadPoolExecutor = Turn
    open_stages, seconds = [], defaultdict(float)
    originals = {}
    for name, (owner, function) in STAGES.items():
        owner = place(owner)
        originals[name] = getattr(owner, function)
        setattr(owner, function, timed(name, originals[name], open_stages, seconds))
    whole = timed("all else", build.profile_build, open_stages, seconds)
    rounds = []
    for _ in range(arguments.rounds):
        seconds.clear()
        with tempfile.TemporaryDirectory() as folder:
            whole([arguments.readings], Path(folder) / "profile.icc")
        rounds.append(dict(seconds))
    least = {"imports": min(fresh)}
    least |= {name: min(one.get(name, 0.0) for one in rounds) for name in [*STAGES, "all else"]}
    total = sum(least.values())
    print(f"| stage of {arguments.readings.stem} | processor time, s | share |\n|---|---|---|")
    for name, value in least.items():
        print(f"| {name} | {value:.2f} | {100 * value / total:.0f} % |")
    print(f"| sum | {total:.2f} | |")


if __name__ == "__main__":
    main()
