"""What is told of work on many printing conditions: those that need a person first."""

import csv
import io
import math
from typing import Any

from spectro.records.batch import BatchResult, TaskOutcome, TaskState
from spectro.records.document import Column, Document, KeyNumber, KeyNumbers, Level, Section, Shown, Table, Verdict
from spectro.words.batch import batch_verdict, by_need

_LEAST_SHOWN = 40  # rows in the terminal; the reports have all


def batch_document(result: BatchResult) -> Document:
    """Return the document of a plan's run or dry run."""
    ranked = by_need(result.outcomes)
    return Document(
        kind="batch",
        title="Many printing conditions",
        verdict=Verdict(text=batch_verdict(result), level=_level(result)),
        subject=result.plan,
        data={
            "verdict": batch_verdict(result),
            "level": str(_level(result)),
            "plan": result.plan,
            "out": result.out,
            "tasks": [_task(one) for one in result.outcomes],
            "by_need": [one.name for one in ranked],
            "states": {str(state): result.count(state) for state in TaskState if result.count(state)},
            "workers": result.workers,
            "seconds": round(result.seconds, 3),
            "expected_seconds": None if result.expected_seconds is None else round(result.expected_seconds, 1),
        },
        sections=(_numbers(result), _list(ranked)),
    )


def batch_csv(result: BatchResult) -> bytes:
    """Return the tasks as CSV, those that need a person first."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("name", "do", "state", "level", "verdict", "seconds", "written"))
    for one in by_need(result.outcomes):
        seconds = "" if math.isnan(one.seconds) else f"{one.seconds:.3f}"
        writer.writerow((one.name, one.do, one.state, one.level, one.verdict, seconds, "; ".join(one.written)))
    return text.getvalue().encode("utf-8", "backslashreplace")


def _level(result: BatchResult) -> Level:
    if result.dry_run:
        return Level.UNKNOWN
    if result.count(TaskState.FAILED) or result.count(TaskState.HELD):
        return Level.FAULT
    worth = any(one.level in ("fault", "attention") for one in result.outcomes)
    return Level.ATTENTION if worth else Level.GOOD


def _task(one: TaskOutcome) -> dict[str, Any]:
    return {
        "name": one.name,
        "do": one.do,
        "state": str(one.state),
        "verdict": one.verdict,
        "level": one.level,
        "seconds": None if math.isnan(one.seconds) else round(one.seconds, 3),
        "written": list(one.written),
    }


def _numbers(result: BatchResult) -> Section:
    found = [
        KeyNumber(label=str(state), value=str(result.count(state)), meaning="tasks")
        for state in TaskState
        if result.count(state)
    ]
    return Section(key="counts", heading="", blocks=(KeyNumbers(items=tuple(found), shown=Shown.REPORT),), shown=Shown.REPORT)


def _list(ranked: list[TaskOutcome]) -> Section:
    columns = (
        Column(name="task", words=True),
        Column(name="do", words=True),
        Column(name="state", words=True),
        Column(name="what was found", words=True, share=0.5),
    )
    rows = tuple((one.name, one.do, str(one.state), one.verdict) for one in ranked)
    label = "tasks, those that need a person first"
    terse = tuple((name, do, state, _first_sentence(verdict)) for name, do, state, verdict in rows[:_LEAST_SHOWN])
    left = len(rows) - len(terse)
    note = f"{left} more stand in the summary." if left else ""
    blocks = [
        Table(columns=columns, rows=rows, label=label, shown=Shown.REPORT),
        Table(columns=columns, rows=terse, label=label, note=note, shown=Shown.TEXT),
    ]
    return Section(key="tasks", heading="Those that need you first", blocks=tuple(blocks), shown=Shown.ALL)


def _first_sentence(text: str) -> str:
    line = text.split("\n")[0]
    end = line.find(". ")
    return line if end < 0 else line[: end + 1]
