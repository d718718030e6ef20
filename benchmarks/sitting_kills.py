"""Sittings that are killed at random points, run out of disk, and go on: is anything lost, and is the result the same?

    python benchmarks/sitting_kills.py --kills 300 [--seed 1]
    python benchmarks/sitting_kills.py --kills 30 --patches 40 (as the test does)

Each sitting reads an invented chart on the stand-in (or takes three files from a watched folder) in a child
process. The child is ended by SIGKILL: before, after or within one of its writes (then only a part of it is written), or
by its parent the moment it reports something. Some stops are a full disk instead,
beside the kills (RLIMIT_FSIZE). After each stop the
journal must hold all that the child reported as accepted; then another child goes on, until the sitting is finished. The
readings must be those of a sitting that nobody disturbed, bit for bit. The short form (30) is a test.
"""

import argparse
import dataclasses
import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from spectro.errors import OutputFileError
from spectro.files.cgats import write_cgats
from spectro.files.journal import read_journal
from spectro.readings.load import load_readings
from spectro.readings.sitting_journal import parse_events
from spectro.readings.write import measurement_table
from spectro.records.sitting import PatchesRead
from spectro.workflow.chart.new import chart_new
from spectro.workflow.readings.sitting import JOURNAL_FILE
from spectro.workflow.readings.take import readings_take
from spectro.workflow.readings.watch import readings_watch

CALLS = ("write", "fsync", "ftruncate", "link", "replace", "unlink")
MOST_CALLS = 45  # of these in one undisturbed sitting, about
FULL = 7  # exit code of a child whose disk was full


def fixed_clock() -> str:
    """A clock that stands still: nothing in the result depends on time."""
    return "2026-01-01T00:00:00Z"


def child_take(chart: Path, sitting: Path, files: Path | None, say) -> None:
    """Run one sitting to its end."""
    if files is None:
        readings_take(chart, instrument="stand-in", sitting=sitting, say=say, clock=fixed_clock)
    else:
        readings_watch(files, chart=chart, sitting=sitting, once=True, say=say, clock=fixed_clock, wait=lambda: True)


def killing(at: int, how: str, rng: random.Random) -> None:
    """Let this process end itself at its at-th write, sync or rename: before, after or within it."""
    count = 0

    def wrapped(name, call):
        def wrapper(*args, **options):
            nonlocal count
            count += 1
            if count < at:
                return call(*args, **options)
            if how == "within" and name == "write":
                call(args[0], bytes(args[1])[: rng.randrange(len(args[1]))])
            elif how == "after":
                call(*args, **options)
            os.kill(os.getpid(), signal.SIGKILL)
            return None

        return wrapper

    for name in CALLS:
        setattr(os, name, wrapped(name, getattr(os, name)))


def run_child(chart: Path, sitting: Path, files: Path | None, stop: str, rng: random.Random) -> tuple[int, list[str]]:
    """Run a child; return how it ended (signal below 0, exit code else) and what it said."""
    read_end, write_end = os.pipe()
    seed = rng.random()
    limit = rng.randrange(200, 60_000)
    at = rng.randrange(1, MOST_CALLS)
    lines = rng.randrange(1, 14)
    pid = os.fork()
    if pid == 0:
        os.close(read_end)
        raw_write = os.write
        try:
            if stop in ("before", "after", "within"):
                killing(at, stop, random.Random(seed))
            if stop == "full":
                resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
            child_take(chart, sitting, files, lambda words: raw_write(write_end, words.encode() + b"\n") and None)
        except OutputFileError:
            os._exit(FULL)
        except BaseException:
            import traceback

            traceback.print_exc()
            os._exit(1)
        os._exit(0)
    os.close(write_end)
    said: list[str] = []
    with os.fdopen(read_end, "r", encoding="utf-8") as stream:
        for line in stream:
            said.append(line.strip())
            if stop == "parent" and len(said) == lines:
                os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    return (-os.WTERMSIG(status) if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)), said


def accepted(said: list[str]) -> list[str]:
    """Return the words of what a child reported as being on the disk."""
    found = [
        line.split(" fits")[0].split(" is taken")[0] for line in said if "; on disk." in line and not line.startswith("The")
    ]
    found += [f"file {line.split(' is taken')[0]}" for line in said if " is taken: " in line and " patches" in line]
    return [word[0].lower() + word[1:] for word in found]


def result(sitting: Path) -> tuple:
    """Return the readings of a finished sitting."""
    (path,) = [path for path in sitting.iterdir() if path.suffix == ".txt"]
    readings = load_readings([path])
    return readings.sample_ids, readings.device.tobytes(), readings.reflectance.tobytes(), readings.condition, readings.backing


def check(right: bool, words: str) -> None:
    """End the campaign where something is not right."""
    if not right:
        sys.exit(words)


def campaign(kills: int, seed: int, work: Path, patches: int = 96) -> dict[str, object]:
    """Run sittings until so many were stopped. Ends at the first loss."""
    rng = random.Random(seed)
    chart = work / "chart"
    chart_new("rgb-a4-strip", chart, patches=patches)
    status, _ = run_child(chart, work / "undisturbed", None, "", rng)
    check(status == 0, "the undisturbed sitting failed")
    wanted = result(work / "undisturbed")
    files = work / "files"
    files.mkdir()
    (whole,) = [path for path in (work / "undisturbed").iterdir() if path.suffix == ".txt"]
    readings = load_readings([whole])
    for number, (start, end) in enumerate(((0, patches // 2), (patches // 3, patches - 20), (patches - 25, patches))):
        part = {
            name: np.asarray(getattr(readings, name))[start:end] if name != "sample_ids" and name != "sample_names"
            else getattr(readings, name)[start:end]
            for name in ("sample_ids", "sample_names", "device", "reflectance", "positions")
        }  # fmt: skip
        write_cgats(measurement_table(dataclasses.replace(readings, **part)), files / f"part-{number}.txt")
    counts = dict.fromkeys(("before", "after", "within", "parent", "full"), 0)
    sittings, torn, begun = 0, 0, time.perf_counter()
    while sum(counts.values()) - counts["full"] < kills:
        sitting = work / f"sitting-{sittings}"
        watched = files if rng.random() < 0.3 else None
        reported: set[str] = set()
        sittings += 1
        for attempt in range(60):
            stop = rng.choice([*counts]) if attempt < 12 else ""
            status, said = run_child(chart, sitting, watched, stop, rng)
            check(status in (0, FULL, -signal.SIGKILL), f"exit {status} after {said}")
            reported |= set(accepted(said))
            if (sitting / JOURNAL_FILE).exists():
                content = read_journal(sitting / JOURNAL_FILE)  # raises where a whole line is damaged
                torn += bool(content.torn)
                entries = parse_events(content.entries, "journal")
                kept = {entry.words for entry in entries if isinstance(entry, PatchesRead)}
                check(reported <= kept, f"lost: {reported - kept}")
            if status == 0:
                break
            counts[stop] += 1
        check(status == 0, "a sitting that never ends")
        check(result(sitting) == wanted, f"{sitting} differs")
    return {
        "stops": counts, "sittings": sittings, "torn lines cut off": torn, "lost": 0, "different results": 0,
        "seconds": round(time.perf_counter() - begun, 1),
    }  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--patches", type=int, default=96)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        print(json.dumps(campaign(arguments.kills, arguments.seed, Path(folder), arguments.patches)))


if __name__ == "__main__":
    sys.exit(main())
