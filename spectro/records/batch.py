"""Records of work on many printing conditions: what a plan asks for, what is handed to a worker, what came of it."""

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


class TaskState(enum.StrEnum):
    """What has become of a task."""

    DONE = "done"
    UNCHANGED = "unchanged"  # done earlier, from the same files, settings and version
    HELD = "held"  # by the gate: the readings look wrong, nothing was written
    FAILED = "failed"
    DUE = "to do"  # of a dry run


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTask:
    """One task of a plan, as it was written."""

    name: str
    do: str  # build, assess, compare, drift or convert
    options: Mapping[str, Any]  # the command's options under their own names, as TOML has them
    once: bool = False  # what lies on the shelf later does not bring it up again
    trouble: str = ""  # why it cannot be begun
    line: int = 0  # where it begins in its plan; 0: it came from no file
    lines: Mapping[str, int] = field(default_factory=dict)  # where its options stand

    def line_of(self, key: str) -> int:
        """Return the line of one of its options, or of its beginning."""
        return self.lines.get(key, self.line)


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Mistake:
    """One mistake of a plan. line: 0 where it is no line's."""

    line: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What a worker gets: a command line, and the folder that its names of files are relative to."""

    name: str
    words: tuple[str, ...]
    folder: str
    storage: str = ""  # folder of copies of what lies at addresses, where the worker may be on another machine
    fetches: tuple[tuple[str, str, str], ...] = ()  # path here, address, digest: what must lie there before it begins
    delivers: tuple[tuple[str, str], ...] = ()  # path here, address: what it makes, and where that goes


@dataclass(frozen=True, slots=True, kw_only=True)
class JobAnswer:
    """What a worker gives back."""

    code: int  # exit code of the command; 130: interrupted
    answer: Mapping[str, Any] | None  # its JSON
    message: str = ""  # what it said on standard error
    seconds: float = 0.0
    program: str = ""  # digest of the program that ran


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A task turned into a command line."""

    task: PlannedTask
    words: tuple[str, ...]
    reads: tuple[str, ...]  # files and folders, absolute
    writes: tuple[str, ...]  # files and folders, absolute
    conditions: tuple[str, ...] = ()  # printing conditions on the shelf that it works from, as they were written
    shelf: str = ""  # the folder of their shelf
    after: tuple[str, ...] = ()  # names of the tasks whose files it reads


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskOutcome:
    """What came of a task."""

    name: str
    do: str
    state: TaskState
    verdict: str  # its first sentence, or why it was held or failed
    level: str  # good, attention, fault or unknown; "" where nothing was judged
    seconds: float  # of the run that did it
    written: tuple[str, ...] = ()  # files and folders, relative to the folder of the results where they lie in it


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchResult:
    """What came of a whole plan."""

    plan: str  # name of its file or folder
    out: str  # folder of the results
    outcomes: tuple[TaskOutcome, ...]  # in the plan's order
    workers: int
    seconds: float
    expected_seconds: float | None = None  # of a dry run, all workers busy; None: no task of that kind was timed yet
    dry_run: bool = False

    def count(self, state: TaskState) -> int:
        """Return how many tasks are in a state."""
        return sum(one.state is state for one in self.outcomes)
