"""Nothing that a shelf has accepted is lost: writers killed at random, disks that fill up, two writers at once.

    python benchmarks/shelf_losses.py                      # long form: 300 kills, 200 full disks, 2 writers
    python benchmarks/shelf_losses.py --kills 30 --limits 20 --additions 15        # short form, as the tests run it

A child process adds invented files to one shelf and says of each when it is accepted. It is killed (SIGKILL) at a random
call that writes (before it, after it, or with half the bytes written), at a random line of the storage code, or (in the
long form, each third time) from outside at a random moment. Disks are filled by a limit on the size of files. After each,
everything ever accepted must be there byte for byte, and `check_shelf` must find no fault. Prints one JSON object; exit
code 1 where anything was lost or a fault was found.
"""

import argparse
import contextlib
import hashlib
import json
import logging
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import filelock  # noqa: F401  loaded before the children are made, so that lines are counted in our own code only
import msgspec  # noqa: F401

from spectro.errors import ShelfError
from spectro.files.shelf_check import check_shelf
from spectro.files.shelf_entries import read_stored
from spectro.records.shelf import EntryKind, EventKind
from spectro.workflow.shelf.new import shelf_new
from spectro.workflow.steps.shelf import add_event, add_to_shelf

CALLS = ("open", "write", "fsync", "close", "chmod", "replace", "rename", "mkdir", "unlink")
ADDITIONS = 4  # of one child
Accepted = dict[str, tuple[str, str]]  # entry's key: condition, SHA-256 of the file ("" for an event)


def content(generator: random.Random) -> bytes:
    """Invented bytes of a file: small, or of several writes."""
    return generator.randbytes(generator.choice([1, 400, 40_000, 1_200_000]))


def work(shelf: Path, seed: int, said: Callable[[dict[str, str]], None]) -> None:
    """Add a condition, files and events to the shelf; say each when it is accepted."""
    generator = random.Random(seed)
    stored, _ = shelf_new(
        {"printer": "invented", "paper": f"paper {generator.randrange(6)}", "reminder_weeks": generator.randrange(1, 5)},
        shelf=shelf,
    )
    said({"condition": stored.name, "sha256": "", "key": "condition"})
    for number in range(ADDITIONS):
        if number == 2:
            note = f"event {seed}"
            add_event(shelf, stored.name, EventKind.HEAD_CLEAN, note=note)
            said({"condition": stored.name, "sha256": "", "key": note})
            continue
        kind = generator.choice([EntryKind.READINGS, EntryKind.PROFILE, EntryKind.REPORT])
        data = content(generator) + f"{seed} {number}".encode()
        entry = add_to_shelf(shelf, stored.name, kind, data, name=f"file-{number}.txt")
        said({"condition": stored.name, "sha256": entry.sha256, "key": entry.sha256})


def die() -> None:
    """End this process as a crash does."""
    os.kill(os.getpid(), signal.SIGKILL)


def trap_call(at: int, when: str, count: list[int]) -> None:
    """Die at the call number at of those that change the disk; at 0 only counts."""

    def wrapped(real: Callable[..., Any], name: str) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            count[0] += 1
            if count[0] == at:
                if when == "half" and name == "write":
                    real(arguments[0], bytes(arguments[1])[: len(arguments[1]) // 2])
                if when == "after":
                    real(*arguments, **named)
                die()
            return real(*arguments, **named)

        return call

    for name in CALLS:
        setattr(os, name, wrapped(getattr(os, name), name))


def trap_line(at: int, count: list[int]) -> None:
    """Die at the line number at that runs in the storage code; at 0 only counts."""

    def trace(frame: Any, event: str, _: Any) -> Any:
        if "shelf_" not in frame.f_code.co_filename or "benchmarks" in frame.f_code.co_filename:
            return None
        if event == "line":
            count[0] += 1
            if count[0] == at:
                die()
        return trace

    sys.settrace(trace)


def child(shelf: Path, seed: int, trap: Callable[[], None] | None, limit: int | None = None) -> tuple[int, Any]:
    """Start a child that works on the shelf. Returns its id and the stream on which it says what was accepted."""
    reading, writing = os.pipe()
    write = os.write
    pid = os.fork()
    if pid:
        os.close(writing)
        return pid, os.fdopen(reading, "rb")
    code = 1
    try:
        os.close(reading)
        logging.disable(logging.WARNING)
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        if trap is not None:
            trap()
        work(shelf, seed, lambda what: write(writing, (json.dumps(what) + "\n").encode()) and None)
        code = 0
    except ShelfError:
        code = 2
    finally:
        os._exit(code)


def reap(pid: int, stream: Any, accepted: Accepted) -> int:
    """Take in what a child said until it ended; return how it ended, as waitpid tells."""
    with stream:
        for line in stream.read().split(b"\n"):
            with contextlib.suppress(ValueError):
                what = json.loads(line)
                accepted[what["key"] + " " + what["condition"]] = (what["condition"], what["sha256"])
    return os.waitpid(pid, 0)[1]


def lost(shelf: Path, accepted: Accepted) -> list[str]:
    """Return what is missing or wrong on the shelf, in words."""
    wrong = [f"{f.what}: {f.place}: {f.text}" for f in check_shelf(shelf).findings if f.severity == "fault"] if accepted else []
    stored = {name: read_stored(shelf, name) for name in {name for name, _ in accepted.values()}}
    for key, (name, sha256) in accepted.items():
        word = key.removesuffix(" " + name)
        if sha256:
            entries = [entry for entry in stored[name].entries if entry.sha256 == sha256]
            if not entries or hashlib.sha256((shelf / name / entries[0].file).read_bytes()).hexdigest() != sha256:
                wrong.append(f"lost: file {sha256}")
        elif word != "condition" and not any(entry.note == word for entry in stored[name].entries):
            wrong.append(f"lost: {word}")
    return wrong


def count_of(trap: Callable[[list[int]], None]) -> int:
    """Return how many calls or lines one whole piece of work takes."""
    with tempfile.TemporaryDirectory() as folder:
        reading, writing = os.pipe()
        write = os.write
        pid = os.fork()
        if not pid:
            count = [0]
            trap(count)
            work(Path(folder) / "shelf", 1, lambda what: None)
            write(writing, str(count[0]).encode())
            os._exit(0)
        os.close(writing)
        with os.fdopen(reading, "rb") as stream:
            counted = int(stream.read())
        os.waitpid(pid, 0)
        return counted


def kill_at_random(kills: int, seed: int, from_outside: bool, shelf: Path, accepted: Accepted) -> dict[str, Any]:
    """Kill that many writers of one shelf, looking at it after each."""
    generator = random.Random(seed)
    calls = count_of(lambda count: trap_call(0, "", count))
    lines = count_of(lambda count: trap_line(0, count))
    done = {"before a call": 0, "after a call": 0, "half a write": 0, "at a line": 0, "from outside": 0, "ended first": 0}
    wrong: list[str] = []
    number = -1
    while sum(done.values()) - done["ended first"] < kills and done["ended first"] <= kills:
        number += 1
        how = ("before", "after", "half", "line")[number % 4]
        if from_outside and number % 3 == 2:
            pid, stream = child(shelf, seed * 100_000 + number, None)
            time.sleep(generator.random() * 0.12)
            os.kill(pid, signal.SIGKILL)
            word = "from outside"
        elif how == "line":
            at = generator.randrange(1, lines)
            pid, stream = child(shelf, seed * 100_000 + number, lambda at=at: trap_line(at, [0]))
            word = "at a line"
        else:
            at = generator.randrange(1, calls)
            pid, stream = child(shelf, seed * 100_000 + number, lambda at=at, how=how: trap_call(at, how, [0]))
            word = {"before": "before a call", "after": "after a call", "half": "half a write"}[how]
        status = reap(pid, stream, accepted)
        killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
        done[word if killed else "ended first"] += 1
        if not killed and os.WEXITSTATUS(status):
            wrong.append(f"child {number} ended with {os.WEXITSTATUS(status)}")
        wrong += [f"after kill {number} ({word}): {text}" for text in lost(shelf, accepted)]
    return {"kills": {word: count for word, count in done.items() if count}, "wrong": wrong}


def fill_disks(limits: int, seed: int, shelf: Path, accepted: Accepted) -> dict[str, Any]:
    """Let that many writers run into a limit on the size of files, looking at the shelf after each."""
    generator = random.Random(seed)
    refused, wrong = 0, []
    for number in range(limits):
        limit = generator.choice([0, 1, 50, 300, 2_000, 30_000, 1_000_000, 1_100_000])
        status = reap(*child(shelf, seed * 100_000 + 50_000 + number, None, limit), accepted)
        code = os.WEXITSTATUS(status) if os.WIFEXITED(status) else -os.WTERMSIG(status)
        refused += code == 2
        if code not in (0, 2):
            wrong.append(f"full disk {number} (limit {limit}): the child ended with {code}")
        wrong += [f"after full disk {number} (limit {limit}): {text}" for text in lost(shelf, accepted)]
    return {"full disks": limits, "refused with an error": refused, "wrong": wrong}


def fill_small_disk(place: Path, seed: int) -> dict[str, Any]:
    """Fill a small file system until nothing is taken any more, then once more; what was accepted must be there."""
    accepted: Accepted = {}
    refused, number = 0, 0
    while refused < 5 and number < 500:
        status = reap(*child(place / "shelf", seed * 100_000 + 90_000 + number, None), accepted)
        refused += os.WEXITSTATUS(status) == 2
        number += 1
    wrong = [f"small disk: {text}" for text in lost(place / "shelf", accepted)]
    if refused < 5:
        wrong.append("small disk: it was never full")
    return {"accepted on the small disk": len(accepted), "wrong": wrong}


def write_together(writers: int, additions: int, seed: int, shelf: Path, accepted: Accepted) -> dict[str, Any]:
    """Let several writers work on the shelf at once, each that many times."""
    wrong = []
    for turn in range(additions):
        children = [child(shelf, seed * 100_000 + 70_000 + turn * writers + number, None) for number in range(writers)]
        for pid, stream in children:
            status = reap(pid, stream, accepted)
            if status:
                wrong.append(f"turn {turn}: a writer ended with {os.waitstatus_to_exitcode(status)}")
    wrong += lost(shelf, accepted)
    notes = [finding.text for finding in check_shelf(shelf).findings if finding.what == "index"]
    wrong += [f"two writers left the index behind: {text}" for text in notes]
    return {"writers": writers, "turns": additions, "wrong": wrong}


def main() -> int:
    """Run the campaign and print what it found."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--limits", type=int, default=200)
    parser.add_argument("--writers", type=int, default=2)
    parser.add_argument("--additions", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--small-disk", type=Path, help="an empty folder on a file system of a few MB, to be filled")
    arguments = parser.parse_args()
    start = time.perf_counter()
    accepted: Accepted = {}
    with tempfile.TemporaryDirectory() as folder:
        shelf = Path(folder) / "shelf"
        results = [
            kill_at_random(arguments.kills, arguments.seed, arguments.kills >= 100, shelf, accepted),
            fill_disks(arguments.limits, arguments.seed, shelf, accepted),
            write_together(arguments.writers, arguments.additions, arguments.seed, shelf, accepted),
        ]
        if arguments.small_disk:
            results.append(fill_small_disk(arguments.small_disk, arguments.seed))
        found = check_shelf(shelf)
    wrong = [text for result in results for text in result.pop("wrong")]
    report = {key: value for result in results for key, value in result.items()}
    report |= {
        "accepted": len(accepted),
        "entries": found.entries,
        "wrong": wrong,
        "seconds": round(time.perf_counter() - start, 1),
    }
    print(json.dumps(report, indent=1))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
