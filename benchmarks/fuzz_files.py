"""Mutated files of every format: refused with one of our errors, or read with the numbers that stand in them.

    python benchmarks/fuzz_files.py [--inputs 200000] [--seed 1] [--data ../shared/data] [--show 10]

Counts as a failure: any other exception, more than 5 s for one file, more than 1 GB of memory, and a number that a second,
independently written parse (fuzz_second_parse.py) does not find in its place; where the second cannot follow at all,
reading counts as a failure too.
"""

import argparse
import collections
import logging
import random
import resource
import sys
import time
import warnings
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from fuzz_corpus import seeds, sheet_parts
from fuzz_mutations import mutated
from fuzz_second_parse import second_parse

from spectro.errors import SpectroError
from spectro.readings.content import tables_of_bytes
from spectro.readings.load import measurements_of_files
from spectro.records.conditions import MeasurementCondition
from spectro.records.reading_options import ReadingOptions

LONGEST = 5.0  # s
MOST_MEMORY = 1024 * 1024  # kB


def read(data: bytes, condition: MeasurementCondition | None = None, device_scale: int | None = None):
    return measurements_of_files(
        [("file", tables_of_bytes(data, "file"))], ReadingOptions(condition=condition, device_scale=device_scale)
    )


def agrees(readings, tables, device_scale: int | None = None) -> bool:
    """Tell whether readings hold the numbers of the second parse: of all its tables together, or of one of them."""
    if not tables:
        return False
    choices = [tables] if len({tuple(nm) for _, _, nm in tables}) == 1 else []
    choices += [[table] for table in tables]
    return any(_same(readings, choice, device_scale) for choice in choices)


def _same(readings, tables, device_scale) -> bool:
    device = [row for table in tables for row in table[0]]
    spectra = [row for table in tables for row in table[1]]
    nm = tables[0][2]
    if list(readings.wavelengths) != nm or len(device) != len(readings) or any(len(row) != len(nm) for row in spectra):
        return False
    largest = max((value for row in device for value in row), default=0)
    channels = len(device[0])
    scale = device_scale or (100 if channels == 4 or largest == 100 else 255 if largest > 100 else 1)
    peak = max(max(row) for row in spectra)
    divisor = 100 if peak > 3 else 1
    for mine, raw in zip(readings.device.tolist(), device, strict=True):
        if len(mine) != len(raw) or any(abs(a - b / scale) > 1e-12 for a, b in zip(mine, raw, strict=True)):
            return False
    return all(
        a == b / divisor
        for mine, raw in zip(readings.reflectance.tolist(), spectra, strict=True)
        for a, b in zip(mine, raw, strict=True)
    )


def campaign(inputs: int, seed: int, data: Path | None = None, *, show: int = 0) -> dict[str, object]:
    """Run a campaign and return counts, the failures as (seed name, what, bytes), and the longest time."""
    log = logging.getLogger("spectro")
    level = log.level
    log.setLevel(logging.CRITICAL)
    source = random.Random(seed)
    corpus = seeds(data)
    parts = sheet_parts()
    names = list(corpus)
    counts: dict[str, collections.Counter] = collections.defaultdict(collections.Counter)
    failures: list[tuple[str, str, bytes]] = []
    longest = 0.0
    for number in range(inputs):
        name = names[number % len(names)]
        data_now = mutated(name, corpus[name], parts, source)
        condition = source.choice((None, None, MeasurementCondition.M0))
        scale = 255 if name.startswith("real") and "press" not in name and source.random() < 0.1 else None
        start = time.perf_counter()
        wrong = ""
        try:
            readings = read(data_now, condition, scale)
            result = "read"
        except SpectroError as error:
            readings, result = None, "refused"
            if not str(error).strip():
                wrong = "an error without words"
        except Exception as error:
            readings, result, wrong = None, "crashed", f"{type(error).__name__}: {error}"
        took = time.perf_counter() - start
        longest = max(longest, took)
        if took > LONGEST:
            wrong = f"{took:.1f} s"
        if readings is not None and not agrees(readings, second_parse(data_now), scale):
            wrong = "numbers that the second parse does not find"
        counts[name][result] += 1
        if wrong:
            counts[name]["failed"] += 1
            failures.append((name, wrong, data_now))
            if len(failures) <= show:
                print(number, name, wrong)
    log.setLevel(level)
    return {"counts": counts, "failures": failures, "longest": longest, "memory": most_memory()}


def most_memory() -> int:
    """The most memory that this process held, kB: of its program alone where the system tells, not of what started it."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text("ascii").split("VmHWM:")[1].split()[0])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--inputs", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--data", type=Path, default=Path(__file__).resolve().parent.parent.parent / "shared" / "data")
    parser.add_argument("--show", type=int, default=10)
    parser.add_argument("--keep", type=Path, help="a folder for the files that failed")
    options = parser.parse_args()
    warnings.simplefilter("error")
    start = time.perf_counter()
    found = campaign(options.inputs, options.seed, options.data if options.data.is_dir() else None, show=options.show)
    for name, counter in found["counts"].items():
        print(f"{name:55} read {counter['read']:6} refused {counter['refused']:6} failed {counter['failed']:4}")
    if options.keep:
        options.keep.mkdir(parents=True, exist_ok=True)
        for number, (name, _, data) in enumerate(found["failures"][:200]):
            (options.keep / f"{number:03} {name.replace('/', ' ')}").write_bytes(data)
    print(
        f"{options.inputs} inputs, {len(found['failures'])} failures; longest {found['longest']:.2f} s, memory "
        f"{found['memory'] / 1024:.0f} MB (limit {MOST_MEMORY / 1024:.0f}); {time.perf_counter() - start:.0f} s in all"
    )


if __name__ == "__main__":
    main()
