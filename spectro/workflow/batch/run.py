"""Run the tasks of a plan: what is done already is left, one that fails does not stop the others."""

import json
import os
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from spectro.files.atomic import write_whole
from spectro.files.journal import sitting_lock
from spectro.records.batch import BatchResult, Job, JobAnswer, Prepared, TaskOutcome, TaskState
from spectro.records.progress import Progress, silent
from spectro.words.batch import in_the_way, lost, not_without, other_program, why_failed
from spectro.workflow.batch.addresses import Addresses
from spectro.workflow.batch.digests import program_digest, task_key, within
from spectro.workflow.batch.ledger import LEDGER_FILE, Ledger
from spectro.workflow.batch.workers import Workers

ANSWERS = "answers"
"""Folder of the results where each task's JSON is kept."""
_TRIES = 2  # of a task whose worker was lost: by what is no fault of the task once, seldom twice


def run_batch(
    prepared: Sequence[Prepared],
    workers: Workers,
    *,
    plan: str,
    folder: Path,
    out: Path,
    name_of: Callable[[str], str],
    shelf: Callable[[Prepared], str],
    addresses: Addresses | None = None,
    progress: Progress = silent,
) -> BatchResult:
    """Run all tasks and return what came of each, in the plan's order.

    folder: what names of files in command lines are relative to. out: the folder of the results, made where it is not there.
    name_of: a task's name as one of a file. shelf: digest of what a task takes from the shelf, "" for nothing.
    addresses: what of it lies in storage elsewhere.
    Raises InputError where another program works in the folder of results. Results are kept as soon as they are there:
    ended at any moment and begun again, only what was not finished is done again.
    """
    begun = time.perf_counter()
    out.mkdir(parents=True, exist_ok=True)
    with ExitStack() as stack:
        stack.callback(workers.close)
        stack.enter_context(sitting_lock(out, "the results in"))
        ledger = stack.enter_context(Ledger(out))
        run = _Run(prepared, workers, ledger, folder, out, name_of, shelf, addresses, progress)
        run.all()
    return BatchResult(
        plan=plan,
        out=str(out),
        outcomes=tuple(run.outcomes[one.task.name] for one in prepared),
        workers=workers.count,
        seconds=time.perf_counter() - begun,
    )


def dry_run(
    prepared: Sequence[Prepared], count: int, *, plan: str, out: Path, shelf: Callable[[Prepared], str], usual: dict[str, float]
) -> BatchResult:
    """Return what a run would do; nothing is written. count: of workers. usual: seconds of a task of each kind."""
    begun = time.perf_counter()
    there = out.is_dir() and any(out.iterdir())
    outcomes: dict[str, TaskOutcome] = {}
    with ExitStack() as stack:
        ledger = stack.enter_context(Ledger(out)) if there else None
        seconds = usual | (ledger.usual_seconds() if ledger else {})
        for one in prepared:
            again = any(outcomes[name].state is TaskState.DUE for name in one.after if name in outcomes)
            known = None if ledger is None or again else ledger.earlier(one, task_key(one, out, shelf(one)))
            outcomes[one.task.name] = known or replace(
                _outcome(one, TaskState.DUE, "", ""), seconds=seconds.get(one.task.do, float("nan"))
            )
    due = [one.seconds for one in outcomes.values() if one.state is TaskState.DUE]
    return BatchResult(
        plan=plan,
        out=str(out),
        outcomes=tuple(outcomes.values()),
        workers=count,
        seconds=time.perf_counter() - begun,
        expected_seconds=None if any(one != one for one in due) else sum(due) / max(1, min(count, len(due))),
        dry_run=True,
    )


class _Run:
    """The tasks on their way."""

    def __init__(
        self, prepared: Sequence[Prepared], workers: Workers, ledger: Ledger, folder: Path, out: Path,
        name_of: Callable[[str], str], shelf: Callable[[Prepared], str], addresses: Addresses | None, progress: Progress,
    ) -> None:  # fmt: skip
        self.workers, self.ledger, self.folder, self.out, self.progress = workers, ledger, folder, out, progress
        self.name_of, self.shelf, self.addresses = name_of, shelf, addresses
        self.waiting = list(prepared)
        self.running: dict[str, Prepared] = {}
        self.keys: dict[str, str] = {}
        self.tries: dict[str, int] = {}
        self.outcomes: dict[str, TaskOutcome] = {}
        self.at: dict[str, float] = {}
        self.all_tasks = len(prepared)

    def all(self) -> None:
        """Run until nothing waits and nothing runs."""
        while self.waiting or self.running:
            self._start_what_can()
            if not self.waiting:
                self.workers.last()
            if self.running:
                for name, answer in self.workers.ended(self._said):
                    self._take(self.running.pop(name), answer)
            self._tell("")

    def _start_what_can(self) -> None:
        for one in list(self.waiting):
            if len(self.running) >= self.workers.room:
                return
            if not all(name in self.outcomes for name in one.after):
                continue  # it reads what another task is to write
            self.waiting.remove(one)
            missing = [name for name in one.after if self.outcomes[name].state in (TaskState.FAILED, TaskState.HELD)]
            if missing:
                self._finish(_outcome(one, TaskState.FAILED, not_without(missing[0]), ""), "")
                continue
            if one.task.trouble:
                self.outcomes[one.task.name] = _outcome(one, TaskState.FAILED, one.task.trouble, "")
                continue
            key = task_key(one, self.out, self.shelf(one))
            known = self.ledger.earlier(one, key)
            if known is not None:
                self.outcomes[one.task.name] = known
            elif foreign := self.ledger.foreign(one):
                self._finish(_outcome(one, TaskState.FAILED, in_the_way(foreign), ""), "")
            else:
                self._start(one, key)

    def _start(self, one: Prepared, key: str) -> None:
        for path in one.writes:
            folder = Path(path).parent if Path(path).suffix else Path(path)  # what has no ending is a folder
            folder.mkdir(parents=True, exist_ok=True)
            self.ledger.clear_rest(path)
        self.ledger.begin(one)
        self.keys[one.task.name], self.at[one.task.name] = key, 0.0
        self.running[one.task.name] = one
        job = Job(name=one.task.name, words=one.words, folder=str(self.folder))
        self.workers.start(self.addresses.of_job(job, one) if self.addresses else job)

    def _take(self, one: Prepared, answer: JobAnswer | None) -> None:
        name = one.task.name
        self.at.pop(name, None)
        if answer is None or answer.code == 130:
            self.tries[name] = self.tries.get(name, 0) + 1
            if self.tries[name] < _TRIES:
                self.waiting.insert(0, one)
            else:
                self._finish(_outcome(one, TaskState.FAILED, lost(_TRIES), ""), "")
            return
        if self.addresses:
            self.addresses.take(one)
        outcome = judged(one, answer, self.out)
        if answer.answer is not None:
            self._keep(name, answer)
        # A task may put what it makes onto the shelf it works from: what lies there now is what its result goes with.
        self._finish(outcome, task_key(one, self.out, self.shelf(one)) if one.conditions else self.keys[name])

    def _keep(self, name: str, answer: JobAnswer) -> None:
        """Keep a task's JSON, its paths relative to the folder of results, which may move, and without its times."""
        folder = self.out / ANSWERS
        folder.mkdir(exist_ok=True)
        text = json.dumps(_relative(answer.answer, self.out), ensure_ascii=False, indent=2) + "\n"
        write_whole(folder / f"{self.name_of(name)}.json", text.encode("utf-8", "backslashreplace"), replace=True)

    def _finish(self, outcome: TaskOutcome, key: str) -> None:
        self.outcomes[outcome.name] = outcome
        self.ledger.finish(outcome, key)
        if self.addresses:
            self.addresses.put_results((LEDGER_FILE, f"{ANSWERS}/{self.name_of(outcome.name)}.json", *outcome.written))

    def _said(self, name: str, what: str, done: float) -> None:
        self.at[name] = done
        self._tell(f": {name}, {what}")

    def _tell(self, more: str) -> None:
        done = len(self.outcomes) + sum(self.at.values())
        self.progress(f"{len(self.outcomes)} of {self.all_tasks} tasks{more}", done / max(1, self.all_tasks))


def judged(one: Prepared, answer: JobAnswer, out: Path) -> TaskOutcome:
    """Return what a worker's answer comes to."""
    said = answer.answer or {}
    verdict, level = str(said.get("verdict", "")), str(said.get("level", ""))
    if answer.program != program_digest():
        state, verdict, level = TaskState.FAILED, other_program(), ""
    elif said.get("held"):
        state = TaskState.HELD
    elif answer.code in (0, 3) and answer.answer is not None:
        state = TaskState.DONE
    else:
        state, verdict, level = TaskState.FAILED, why_failed(answer.message, answer.code), ""
    written = tuple(within(path, out) for path in one.writes if state is TaskState.DONE and Path(path).exists())
    return replace(_outcome(one, state, verdict, level), seconds=answer.seconds, written=written)


def _outcome(one: Prepared, state: TaskState, verdict: str, level: str) -> TaskOutcome:
    return TaskOutcome(name=one.task.name, do=one.task.do, state=state, verdict=verdict, level=level, seconds=0.0)


def _relative(value: object, out: Path) -> object:
    if isinstance(value, str):
        return value.replace(f"{out}{os.sep}", "")
    if isinstance(value, list):
        return [_relative(one, out) for one in value]
    if isinstance(value, dict):
        return {key: _relative(one, out) for key, one in value.items() if key != "seconds"}
    return value
