"""Where the desk keeps its work: one folder for each run of a command, which outlives the server.

    DESK/work/ID/job.json     what was asked for; written once
    DESK/work/ID/in/          files that were given
    DESK/work/ID/out/         files that were made; the command runs here
    DESK/work/ID/progress.json, page.html, answer.json, done.json     what the runner says, each written whole
    DESK/work/ID/lock         held by the runner while it runs

Whether work still runs is told by its lock, so that a server that starts again finds what an earlier one began.
"""

import json
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from spectro.errors import InputError

IN, OUT = "in", "out"
_ID = re.compile(r"[0-9]{14}-[0-9a-f]{8}")
_LONGEST = 120  # letters of a file's name


class State(StrEnum):
    """How a piece of work stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAULT = "fault"  # the command found a fault: exit code 3
    REFUSED = "refused"  # bad input: exit code 2
    STOPPED = "stopped"  # called off, or its process ended without a word
    BROKEN = "broken"  # an error of ours


_BY_CODE = {0: State.DONE, 3: State.FAULT, 2: State.REFUSED, 130: State.STOPPED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What was asked for."""

    job: str  # its key in jobs.toml
    words: tuple[str, ...]  # the command's words and arguments, paths whole
    shown: tuple[str, ...]  # the same as people copy it: files by their names
    asked: str  # when, ISO 8601 in UTC
    inputs: tuple[tuple[str, str], ...] = ()  # argument, reference of the file given


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A piece of work and how it stands."""

    id: str
    folder: Path
    job: Job
    state: State
    progress: str = ""
    fraction: float = 0.0
    message: str = ""  # why it was refused
    seconds: float = 0.0

    @property
    def ended(self) -> bool:
        """Whether nothing more comes."""
        return self.state not in (State.WAITING, State.RUNNING)

    @property
    def has_page(self) -> bool:
        """Whether the command said something that is shown as a page."""
        return (self.folder / "page.html").is_file()

    def files(self, part: str = OUT) -> tuple[str, ...]:
        """Return the files made or given, by their path below the part, sorted."""
        root = self.folder / part
        found = (path for path in sorted(root.rglob("*")) if path.is_file() and not path.is_symlink())
        return tuple(path.relative_to(root).as_posix() for path in found)

    @property
    def answer(self) -> dict[str, Any]:
        """What the command says as JSON; empty where it says nothing."""
        return read_json(self.folder / "answer.json")


def safe_name(name: str, taken: Iterable[str] = ()) -> str:
    r"""Return a file name without folders or control letters, never hidden, other than those taken.

    >>> safe_name("../../etc/passwd"), safe_name(".bashrc"), safe_name("a\x1b[31m.txt"), safe_name("a.txt", ["a.txt"])
    ('passwd', 'bashrc', 'a[31m.txt', 'a-2.txt')
    """
    last = re.split(r"[\\/]", name)[-1]
    plain = "".join(letter for letter in last if letter.isprintable()).lstrip(". ")
    stem, suffix = os.path.splitext(plain)
    stem, suffix = stem[:_LONGEST] or "file", suffix[:12]
    others, number, found = set(taken), 1, stem + suffix
    while found in others:
        number += 1
        found = f"{stem}-{number}{suffix}"
    return found


def write_json(path: Path, value: object) -> None:
    """Write a small file whole: a reader sees the old or the new one."""
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    beside.write_text(json.dumps(value, ensure_ascii=False), "utf-8")
    os.replace(beside, path)


def read_json(path: Path) -> dict[str, Any]:
    """Return a small file's object; empty where there is none that can be read."""
    try:
        value = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return value if isinstance(value, dict) else {}


class WorkFolder:
    """All work of a desk."""

    def __init__(self, desk: Path) -> None:
        """Take the desk's folder; it is made where it is missing."""
        self.root = desk / "work"
        self.root.mkdir(parents=True, exist_ok=True)

    def new(self) -> tuple[str, Path]:
        """Make the folder of another piece of work and return its id and place."""
        name = time.strftime("%Y%m%d%H%M%S", time.gmtime()) + "-" + secrets.token_hex(4)
        folder = self.root / name
        for part in (IN, OUT):
            (folder / part).mkdir(parents=True)
        return name, folder

    def drop(self, name: str) -> None:
        """Take away the folder of work that was never begun."""
        if _ID.fullmatch(name) and not (self.root / name / "job.json").exists():
            shutil.rmtree(self.root / name, ignore_errors=True)

    def begin(self, name: str, job: Job) -> None:
        """Write what was asked for; from now on it is work."""
        write_json(self.root / name / "job.json", asdict(job))

    def find(self, name: str) -> Work:
        """Return a piece of work as it stands. Raises InputError where there is none of that name."""
        folder = self.root / name
        raw = read_json(folder / "job.json") if _ID.fullmatch(name) else {}
        if not raw:
            raise InputError(f"no work called {name}", "one of the desk's", "Go back to the list of work.")
        job = Job(
            job=raw["job"],
            words=tuple(raw["words"]),
            shown=tuple(raw["shown"]),
            asked=raw["asked"],
            inputs=tuple((argument, given) for argument, given in raw.get("inputs", ())),
        )
        done, progress = read_json(folder / "done.json"), read_json(folder / "progress.json")
        return Work(
            id=name,
            folder=folder,
            job=job,
            state=_state(folder, done),
            progress=str(progress.get("what", "")),
            fraction=float(progress.get("done", 0.0)),
            message=str(done.get("message", "")),
            seconds=float(done.get("seconds", 0.0)),
        )

    def all(self, most: int = 200) -> Iterator[Work]:
        """Yield work, the newest first."""
        names = sorted((path.name for path in self.root.iterdir() if _ID.fullmatch(path.name)), reverse=True)
        for name in names[:most]:
            if (self.root / name / "job.json").is_file():
                yield self.find(name)

    def waiting(self) -> list[Work]:
        """Return what was asked for and not begun, the oldest first: asked so often that no file is read to tell it."""
        found = (path for path in self.root.iterdir() if _ID.fullmatch(path.name) and (path / "job.json").exists())
        names = sorted(path.name for path in found if not any((path / file).exists() for file in ("begun", "done.json")))
        return [self.find(name) for name in names]

    def file(self, name: str, part: str, path: str) -> Path:
        """Return a file of a piece of work. Raises InputError for what is not there or leads out of its folder."""
        root = (self.find(name).folder / part).resolve()
        found = (root / path.replace("\0", "")).resolve()
        if (
            part not in (IN, OUT)
            or found == root
            or not found.is_relative_to(root)
            or not found.exists()
            or (root / path).is_symlink()
        ):
            raise InputError(f"no file {path!r} in this work", "one that it lists", "Go back to it.")
        return found


def _state(folder: Path, done: dict[str, Any]) -> State:
    if "code" in done:
        return _BY_CODE.get(int(done["code"]), State.BROKEN)
    if not (folder / "begun").exists():
        return State.WAITING
    return State.RUNNING if is_held(folder) else State.STOPPED


def is_held(folder: Path) -> bool:
    """Tell whether a runner holds the work."""
    try:
        with FileLock(folder / "lock", timeout=0):
            return False
    except Timeout:
        return True
