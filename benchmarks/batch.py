"""Many printing conditions in one go: throughput, a cluster, kills, a second run, and a thousand checks of drift.

    python benchmarks/batch.py throughput [CONDITIONS] [PATCHES]
    python benchmarks/batch.py kills [CONDITIONS]
    python benchmarks/batch.py checks [CONDITIONS]

The conditions are the stand-in's, each on a sheet and with nozzles of its own: invented readings. `throughput` runs the same
plan pinned to one core, on all cores, and on a local cluster of two workers, and compares all bytes but those of times.
"""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from spectro.files.cgats import write_cgats
from spectro.readings.write import measurement_table
from spectro.records.conditions import MeasurementCondition
from spectro.stand_in.faults import lost_nozzles
from spectro.stand_in.instrument import Instrument
from spectro.stand_in.paper import matte_paper
from spectro.stand_in.printer import Printer
from spectro.stand_in.readings import ReadSheet, stand_in_measurements

SPECTRO = [sys.executable, "-m", "spectro"]
INKS = ("cyan", "light cyan", "magenta", "light magenta", "yellow")
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")


def colours(count: int) -> np.ndarray:
    """Corners and greys of the cube, the rest scattered over it: (count, 3)."""
    corners = np.array(np.meshgrid([0, 1], [0, 1], [0, 1])).reshape(3, -1).T
    greys = np.repeat(np.linspace(0, 1, 12)[1:-1, None], 3, axis=1)
    scattered = np.random.default_rng(7).random((max(0, count - 18), 3))
    return np.round(np.vstack([corners, greys, scattered])[:count], 4)


def write_readings(path: Path, device: np.ndarray, seed: int, day: str) -> None:
    """Print and read colours on a condition of its own."""
    rng = np.random.default_rng(seed)
    sheet = ReadSheet(
        printer=lost_nozzles(Printer(), INKS[seed % len(INKS)], float(rng.uniform(0, 0.1))),
        paper=matte_paper(),
        instrument=Instrument(),
        condition=MeasurementCondition.M1,
        seed=seed,
        sheet_seed=seed,
    )
    names = tuple(str(row + 1) for row in range(len(device)))
    found = stand_in_measurements(
        device, sheet, sample_ids=names, sample_names=names, positions=np.zeros((0, 3), dtype=np.int64),
        created=f"{day}T00:00:00Z", origin="invented", description="invented",
    )  # fmt: skip
    write_cgats(measurement_table(found), path, replace=True)


def build_plan(folder: Path, conditions: int, patches: int) -> Path:
    """Write readings and a plan that builds a profile of each."""
    tasks = []
    for seed in range(conditions):
        write_readings(folder / f"{seed}.txt", colours(patches), seed, "2026-03-01")
        tasks.append(f'[[task]]\ndo = "build"\nname = "condition {seed}"\nreadings = "{seed}.txt"\n')
    plan = folder / "plan.toml"
    plan.write_text("format = 1\n" + "".join(tasks), "utf-8")
    return plan


def run(*words: object, pinned: bool = False, **named: object) -> tuple[float, dict]:
    """Run a plan; return wall seconds and its JSON."""
    core = min(os.sched_getaffinity(0))
    before = (lambda: os.sched_setaffinity(0, {core})) if pinned else None
    begun = time.perf_counter()
    done = subprocess.run(
        [*SPECTRO, "batch", *map(str, words), "--json"], capture_output=True, text=True, preexec_fn=before,
        env=os.environ | ONE_THREAD, check=False, **named,
    )  # fmt: skip
    seconds = time.perf_counter() - begun
    if not done.stdout:
        sys.exit(done.stderr)
    return seconds, json.loads(done.stdout)


def files_of(out: Path) -> dict[str, bytes]:
    """All that a run wrote but its times: the journal and the summary's figures hold those."""
    left = {"ledger.jsonl", "sitting.lock", "summary.json", "summary.csv"}
    return {
        one.relative_to(out).as_posix(): one.read_bytes() for one in out.rglob("*") if one.is_file() and one.name not in left
    }


def states(found: dict) -> dict[str, int]:
    return found["states"]


def throughput(folder: Path, conditions: int, patches: int) -> None:
    """One core, all cores, a local cluster."""
    plan = build_plan(folder, conditions, patches)
    outs = [folder / name for name in ("one", "all", "cluster")]
    one, found = run(plan, "--out", outs[0], "--jobs", 1, pinned=True)
    print(f"one core: {one:.1f} s, {one / conditions:.2f} s a condition, {states(found)}", flush=True)
    every, found = run(plan, "--out", outs[1])
    print(f"{found['workers']} cores: {every:.1f} s, {one / every:.2f} times as fast, {states(found)}", flush=True)
    again, found = run(plan, "--out", outs[1])
    print(f"a second run: {again:.2f} s, {states(found)}", flush=True)
    with contextlib.suppress(ImportError):
        from distributed import LocalCluster

        with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
            spread, found = run(plan, "--out", outs[2], "--cluster", cluster.scheduler_address)
        print(f"cluster of 2: {spread:.1f} s, {spread / every:.2f} times the time of 2 cores, {states(found)}")
    first = files_of(outs[0])
    same = [out.name for out in outs[1:] if out.exists() and files_of(out) == first]
    print(f"{len(first)} files, the same bytes as on one core: {', '.join(same)}")


def children(process: int) -> list[int]:
    """The workers of a run, oldest first: those of its children that serve jobs."""
    found = []
    for line in subprocess.run(
        ["ps", "-o", "pid=,args=", "--ppid", str(process)], capture_output=True, text=True, check=False
    ).stdout.splitlines():
        number, _, words = line.strip().partition(" ")
        if "spawn_main" in words:
            found.append(int(number))
    return found


def kills(folder: Path, conditions: int) -> None:
    """A worker killed in the middle; then the whole run; then what is left."""
    plan = build_plan(folder, conditions, 300)
    out = folder / "killed"
    process = subprocess.Popen([*SPECTRO, "batch", str(plan), "--out", str(out), "--quiet"], stdout=subprocess.DEVNULL)
    ledger = out / "ledger.jsonl"

    def finished() -> int:
        return ledger.read_text("utf-8").count('"state"') if ledger.exists() else 0

    killed = False
    while process.poll() is None and finished() < conditions // 2:
        workers = children(process.pid)
        if finished() >= 2 and workers and not killed:
            os.kill(workers[0], signal.SIGKILL)
            killed = True
    process.kill()
    process.wait()
    before = finished()
    _, found = run(plan, "--out", out)
    print(f"a worker killed: {killed}; the run killed after {before} of {conditions} tasks; then {states(found)}")
    _, found = run(plan, "--out", folder / "undisturbed")
    ours, theirs = files_of(out), files_of(folder / "undisturbed")
    other = sorted(name for name in {*ours, *theirs} if ours.get(name) != theirs.get(name) and name != "summary.html")
    print(f"files that differ from an undisturbed run: {other or 'none'}, {states(found)}")


def checks(folder: Path, conditions: int) -> None:
    """Many checks of drift: planned, hashed, run, reported."""
    device = colours(60)
    tasks = []
    for seed in range(conditions):
        for name, day, shift in (("then", "2026-01-05", 0), ("now", "2026-03-02", 1)):
            write_readings(folder / f"{seed}-{name}.txt", device, 2 * seed + shift, day)
        tasks.append(f'[[task]]\ndo = "drift"\nname = "{seed}"\nreference = "{seed}-then.txt"\nnew = "{seed}-now.txt"\n')
    plan = folder / "checks.toml"
    plan.write_text("format = 1\n" + "".join(tasks), "utf-8")
    seconds, found = run(plan)
    print(f"{conditions} checks of drift: {seconds:.1f} s with {found['workers']} workers, {states(found)}")
    seconds, found = run(plan)
    print(f"a second run: {seconds:.2f} s, {states(found)}")


def main() -> None:
    """Run one of the three."""
    what, numbers = sys.argv[1], [int(one) for one in sys.argv[2:]]
    folder = Path(tempfile.mkdtemp())
    try:
        if what == "throughput":
            throughput(folder, *(numbers or [64]), *([900] if len(numbers) < 2 else []))
        elif what == "kills":
            kills(folder, *(numbers or [12]))
        else:
            checks(folder, *(numbers or [1000]))
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
