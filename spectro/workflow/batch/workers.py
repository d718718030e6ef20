"""Workers that run jobs: processes of this machine, or those of a cluster.

Each process of this machine serves one job at a time over a pipe of its own, so that one that is killed takes no other with
it: a pool of the standard library, and those built on it, give up all their jobs when one process dies. A worker that lost
its parent ends at once.
"""

import contextlib
import importlib
import multiprocessing
import os
import threading
from collections.abc import Callable, Sequence
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Any, Protocol

from spectro.errors import InputError
from spectro.maths.row_blocks import keep_memory, keep_to_one_thread, usable_cores
from spectro.records.batch import Job, JobAnswer
from spectro.records.progress import Progress

Work = Callable[[Job, Progress], JobAnswer]
"""Runs a job; must be a function of a module, so that another process can find it."""
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
_MOST_MEMORY = 1024 * 1024 * 1024  # bytes; a worker that came to hold more is replaced after its job


class Workers(Protocol):
    """Runs jobs at the same time."""

    count: int
    room: int

    def start(self, job: Job) -> None:
        """Take a job; at most `count` run, and `room` may be here with those that wait for them."""

    def last(self) -> None:
        """Say that no job waits any more: those that run may have what the others leave."""

    def ended(self, progress: Callable[[str, str, float], None]) -> Sequence[tuple[str, JobAnswer | None]]:
        """Wait until jobs end and return their names and answers; None: its worker was lost.

        progress: called with a job's name, what it is at, and the share that is done.
        """

    def close(self) -> None:
        """End all workers at once, whatever they are at."""


class LocalWorkers:
    """Processes of this machine: where there are as many as cores, each keeps to one of them as long as jobs wait."""

    def __init__(self, count: int, work: Work) -> None:
        """count: of processes at the same time."""
        self.count, self.room, self._work = count, count, work
        self._idle: list[_Worker] = []
        self._busy: dict[Any, _Worker] = {}
        self._cores = usable_cores()

    def start(self, job: Job) -> None:
        """Begin a job in an idle process, or in a new one."""
        worker = self._idle.pop() if self._idle else _Worker(self._work, shares=self.count > 1)
        worker.job = job.name
        if 1 < self.count == len(self._cores):
            taken = {core for one in self._busy.values() for core in one.cores}
            worker.keep_to(set(sorted(self._cores - taken)[:1]) or self._cores)
        self._busy[worker.pipe] = worker
        with contextlib.suppress(OSError):  # a process that died while it was idle is found dead at once
            worker.pipe.send(job)

    def last(self) -> None:
        """As `Workers`."""
        for worker in self._busy.values():
            if 0 < len(worker.cores) < len(self._cores):
                worker.keep_to(self._cores)

    def ended(self, progress: Callable[[str, str, float], None]) -> Sequence[tuple[str, JobAnswer | None]]:
        """As `Workers`."""
        found: list[tuple[str, JobAnswer | None]] = []
        while not found:
            for ready in wait(list(self._busy)):
                worker = self._busy[ready]
                pipe = worker.pipe
                try:
                    said = pipe.recv()
                except (EOFError, OSError):
                    self._let_go(worker)
                    found.append((worker.job, None))
                    continue
                if isinstance(said, JobAnswer):
                    found.append((worker.job, said))
                    self._rest(worker)
                else:
                    progress(worker.job, *said)
        return found

    def close(self) -> None:
        """As `Workers`."""
        for worker in [*self._idle, *self._busy.values()]:
            worker.end()
        self._idle, self._busy = [], {}

    def _rest(self, worker: "_Worker") -> None:
        del self._busy[worker.pipe]
        if worker.large():
            worker.end()
        else:
            self._idle.append(worker)

    def _let_go(self, worker: "_Worker") -> None:
        del self._busy[worker.pipe]
        worker.end()


class _Worker:
    """One process with its pipe."""

    def __init__(self, work: Work, shares: bool) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, other = context.Pipe()
        self.job = ""
        self.cores: set[int] = set()  # that it keeps to; none: any
        with _one_thread_inherited():
            self.process: SpawnProcess = context.Process(target=_serve, args=(other, work, shares))
            self.process.start()
        other.close()  # so that the end of the process is the end of the pipe

    def keep_to(self, cores: set[int]) -> None:
        """Let the process run on some cores alone, where the system can: one that wanders finds its caches cold."""
        with contextlib.suppress(OSError, AttributeError):
            os.sched_setaffinity(self.process.pid or 0, cores)
            self.cores = cores

    def large(self) -> bool:
        """Whether the process holds more memory than it should go on with."""
        try:
            with open(f"/proc/{self.process.pid}/statm", encoding="ascii") as file:
                pages = int(file.read().split()[1])
            return pages * os.sysconf("SC_PAGE_SIZE") > _MOST_MEMORY
        except (OSError, ValueError, IndexError, AttributeError):
            return False  # where the system does not tell

    def end(self) -> None:
        """End the process."""
        self.pipe.close()
        self.process.kill()
        self.process.join()
        self.process.close()


def _serve(pipe: Connection, work: Work, shares: bool) -> None:
    """Answer jobs until the pipe ends; shares: with other workers of this machine, so that a thread for each is enough."""
    if shares:
        keep_to_one_thread()
    keep_memory()
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        while True:
            job = pipe.recv()
            pipe.send(work(job, lambda what, done: pipe.send((what, done))))


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


@contextlib.contextmanager
def _one_thread_inherited() -> Any:
    """Let processes that start here use one thread each for linear algebra, unless somebody set it otherwise."""
    unset = [name for name in _THREADS if name not in os.environ]
    os.environ.update(dict.fromkeys(unset, "1"))
    try:
        yield
    finally:
        for name in unset:
            del os.environ[name]


class ClusterWorkers:
    """The workers of a cluster that runs already; they must see the same folders under the same names."""

    def __init__(self, address: str, work: Work) -> None:
        """address: of the cluster's scheduler. Raises InputError where the client is not installed or nobody answers."""
        try:
            distributed: Any = importlib.import_module("distributed")
        except ImportError as error:
            raise InputError(
                "no client for clusters", "the extra for clusters", "Install it: pip install 'spectro[cluster]'"
            ) from error
        try:
            self._client = distributed.Client(address, timeout="10s", set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            raise InputError(
                f"no cluster at {address}",
                "the address of a scheduler that runs, such as tcp://host:8786",
                "Correct `cluster`.",
            ) from error
        self._work, self._wait = work, distributed.wait
        self.count = sum(one["nthreads"] for one in self._client.scheduler_info(n_workers=-1)["workers"].values())
        self.room = 2 * self.count  # the next one is there before a worker is done: handing it over takes time
        if not self.count:
            self.close()
            raise InputError(f"a cluster without workers at {address}", "at least one worker", "Start workers first.")
        self._names: dict[Any, str] = {}

    def start(self, job: Job) -> None:
        """As `Workers`. A job whose worker is lost is given to another by the cluster, three times at most."""
        future = self._client.submit(_without_progress, self._work, job, pure=False, retries=0)
        self._names[future] = job.name

    def last(self) -> None:
        """As `Workers`: which cores a worker has is the cluster's."""

    def ended(self, progress: Callable[[str, str, float], None]) -> Sequence[tuple[str, JobAnswer | None]]:
        """As `Workers`; progress of single jobs is not told."""
        with self._client.as_current():
            done = self._wait(list(self._names), return_when="FIRST_COMPLETED").done
        return [(self._names.pop(future), None if future.status != "finished" else future.result()) for future in done]

    def close(self) -> None:
        """Call off what runs and let go of the cluster, which goes on."""
        self._client.cancel(list(getattr(self, "_names", {})))
        self._client.close()


def _without_progress(work: Work, job: Job) -> JobAnswer:
    keep_to_one_thread()
    keep_memory()
    return work(job, lambda what, done: None)
