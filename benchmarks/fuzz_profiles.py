"""Mutated profiles through `profile show`: no traceback, no warning, no long run.

.venv/bin/python -W error benchmarks/fuzz_profiles.py [100000]
"""

import importlib.util
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from spectro.records.profile_settings import ProfileSettings
from spectro.workflow import profile_build
from spectro.workflow.profile.show import list_profile

ROOT = Path(__file__).resolve().parents[1]


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    spec = importlib.util.spec_from_file_location("showing", ROOT / "tests" / "workflow" / "test_showing.py")
    tests = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tests)
    originals = []
    with tempfile.TemporaryDirectory() as folder:
        for version in (2, 4):
            path = Path(folder) / f"v{version}.icc"
            profile_build([tests.DEMO], path, settings=ProfileSettings(grid=9, icc_version=version))
            originals.append(path.read_bytes())
    random = np.random.default_rng(5)
    slowest, faulty = 0.0, 0
    for number in range(count):
        data = tests.mutated(originals[number % 2], random)
        start = time.perf_counter()
        faulty += list_profile(data, "mutated").faulty
        slowest = max(slowest, time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"{count} mutated profiles: {faulty} faulty, slowest {slowest:.2f} s, peak {peak} MB, no traceback")


if __name__ == "__main__":
    main()
