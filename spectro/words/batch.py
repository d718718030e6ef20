"""What is said of work on many printing conditions."""

from collections.abc import Sequence
from datetime import timedelta

from spectro.records.batch import BatchResult, Mistake, TaskOutcome, TaskState
from spectro.records.shown_text import shown_text

_ORDER = {"fault": 2, "attention": 3, "unknown": 4, "": 5, "good": 6}


def plan_mistakes(mistakes: Sequence[Mistake], plan: str) -> str:
    """Return all mistakes of a plan, each with its line.

    >>> print(plan_mistakes([Mistake(line=3, text="a: no file 'x.txt'")], "plan.toml"))
    plan.toml has 1 mistake; nothing was begun.
      line 3: a: no file 'x.txt'
    """
    lines = "".join(f"\n  {f'line {one.line}: ' if one.line else ''}{one.text}" for one in mistakes)
    return f"{plan} has {_count(len(mistakes), 'mistake')}; nothing was begun.{lines}"


def batch_verdict(result: BatchResult) -> str:
    """Return what came of a plan in a sentence or two, what needs a person first."""
    if result.dry_run:
        return _planned(result)
    counts = {state: result.count(state) for state in TaskState}
    troubled = counts[TaskState.HELD] + counts[TaskState.FAILED]
    if result.outcomes and counts[TaskState.UNCHANGED] == len(result.outcomes):
        return f"Nothing to do: all {_count(len(result.outcomes), 'task')} are done and nothing they rest on has changed."
    parts = [
        f"{counts[state]} {state}"
        for state in (TaskState.FAILED, TaskState.HELD, TaskState.DONE, TaskState.UNCHANGED)
        if counts[state]
    ]
    if counts[TaskState.DONE] == len(result.outcomes) and not any(one.level == "fault" for one in result.outcomes):
        return f"All {_count(len(result.outcomes), 'task')} are done, and none found a fault."
    faults = [one for one in result.outcomes if one.level == "fault" and one.state in (TaskState.DONE, TaskState.UNCHANGED)]
    more = f" {_count(len(faults), 'finished task')} found a fault." if faults else ""
    first = by_need(result.outcomes)[0] if troubled or faults else None
    look = f" Look first at {first.name}." if first is not None else ""
    return f"{_count(len(result.outcomes), 'task')}: {', '.join(parts)}.{more}{look}"


def _planned(result: BatchResult) -> str:
    due = result.count(TaskState.DUE)
    if not due:
        return f"Nothing to do: all {_count(len(result.outcomes), 'task')} are done and nothing they rest on has changed."
    left = len(result.outcomes) - due
    rest = f"; {left} are done already" if left else ""
    if result.expected_seconds is None:
        return f"{_count(due, 'task')} to do{rest}. How long they take is not known before a first run."
    workers = f" with {_count(result.workers, 'worker')}"
    return f"{_count(due, 'task')} to do{rest}: about {duration(result.expected_seconds)}{workers}. Nothing was written."


def duration(seconds: float) -> str:
    """Return a time as people say it.

    >>> duration(12.4), duration(200), duration(9000)
    ('12 seconds', '3 minutes', '2.5 hours')
    """
    whole = timedelta(seconds=seconds)
    if whole < timedelta(minutes=2):
        return _count(max(1, round(seconds)), "second")
    if whole < timedelta(hours=2):
        return f"{round(whole / timedelta(minutes=1))} minutes"
    return f"{whole / timedelta(hours=1):.1f} hours"


def by_need(outcomes: Sequence[TaskOutcome]) -> list[TaskOutcome]:
    """Return tasks with those that need a person most first: failed, held, a fault found, worth a look, then the rest."""
    first = {TaskState.FAILED: 0, TaskState.HELD: 1}
    return sorted(outcomes, key=lambda one: first.get(one.state, _ORDER.get(one.level, 5)))


def in_the_way(name: str) -> str:
    """Return why a task was not begun: a file of that name is somebody else's."""
    return f"{name} is there already and was not written by this plan, or was changed since. Move it, or choose another `out`."


def not_without(name: str) -> str:
    """Return why a task was not begun: one that it rests on has no result."""
    return f"It needs what {name} was to make."


def no_condition(file: str, several: Sequence[str]) -> str:
    """Return why a file that was dropped is of no printing condition that is known, or of which several it may be."""
    may = f"{shown_text(file)} may be of {' or '.join(several)}." if several else ""
    none = f"Nothing tells which printing condition {shown_text(file)} is of."
    return f"{may or none} Begin its name with the condition's, as spectro shelf list shows it."


def lost(tries: int) -> str:
    """Return why a task failed: its worker was lost each time."""
    return f"The process that worked on it ended in the middle, {tries} times: killed, or out of memory."


def other_program() -> str:
    """Return why a cluster's answer does not count."""
    return "The worker runs another version of this program. Install the same one on every machine."


def why_failed(message: str, code: int) -> str:
    """Return why a command gave no answer: what it said.

    >>> why_failed("spectro: found no file; expected one. Look.", 2)
    'found no file; expected one. Look.'
    """
    said = message.removeprefix("spectro: ").strip()
    if code == 1:
        return f"A fault of this program: {said.splitlines()[-1] if said else 'without a word'}"
    return said or f"It ended with exit code {code} and said nothing."


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
