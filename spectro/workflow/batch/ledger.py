"""What has been done in a folder of results: a journal, so that a run that was ended goes on where it was."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Self

from spectro.files.digests import file_digest
from spectro.files.journal import JournalWriter
from spectro.records.batch import Prepared, TaskOutcome, TaskState
from spectro.workflow.batch.digests import within

LEDGER_FILE = "ledger.jsonl"


class Ledger:
    """What became of each task, newest last. Use it within `with`."""

    def __init__(self, out: Path) -> None:
        """out: the folder of the results. Raises OutputFileError where it cannot be written."""
        self._out = out
        self._journal = JournalWriter(out / LEDGER_FILE, leave_out_damaged=True)
        self._done: dict[str, Mapping[str, Any]] = {}
        self._ours: dict[str, str] = {}  # files that were written or begun here, with their digests ("" while begun)
        for entry in self._journal.content.entries:
            self._learn(json.loads(entry))

    def _learn(self, entry: Mapping[str, Any]) -> None:
        if "key" in entry:
            self._done[entry["task"]] = entry
        self._ours.update(entry["files"])

    def earlier(self, prepared: Prepared, key: str) -> TaskOutcome | None:
        """Return what came of a task before, where nothing it rests on has changed and its files are as they were left."""
        entry = self._done.get(prepared.task.name)
        if entry is None or entry["key"] != key or entry["state"] == TaskState.FAILED:
            return None
        if any(file_digest(self._out / name) != digest for name, digest in entry["files"].items()):
            return None
        held = entry["state"] == TaskState.HELD
        return TaskOutcome(
            name=prepared.task.name,
            do=prepared.task.do,
            state=TaskState.HELD if held else TaskState.UNCHANGED,
            verdict=entry["verdict"],
            level=entry["level"],
            seconds=entry["seconds"],
            written=tuple(entry["files"]),
        )

    def foreign(self, prepared: Prepared) -> str:
        """Return the name of a file in a task's way that was not written here, or was changed since; "" for none."""
        for path in prepared.writes:
            name = within(path, self._out)
            there = file_digest(Path(path))
            if there and self._ours.get(name) not in ("", there):
                return name
        return ""

    def begin(self, prepared: Prepared) -> None:
        """Write down that a task begins, so that what it leaves when it is killed is known as ours."""
        files = {within(path, self._out): "" for path in prepared.writes}
        if files:
            self._add({"task": prepared.task.name, "files": files})

    def clear_rest(self, path: str) -> None:
        """Take away what a killed run left beside a file that was begun here: it had not come to its name yet."""
        file = Path(path)
        if within(path, self._out) in self._ours:
            for other in file.parent.iterdir():
                if other.name.startswith(f".{file.name}.") and other.is_file():
                    other.unlink(missing_ok=True)

    def finish(self, outcome: TaskOutcome, key: str) -> None:
        """Write down what came of a task."""
        self._add(
            {
                "task": outcome.name,
                "key": key,
                "do": outcome.do,
                "state": outcome.state,
                "verdict": outcome.verdict,
                "level": outcome.level,
                "seconds": round(outcome.seconds, 3),
                "files": {name: file_digest(self._out / name) for name in outcome.written},
            }
        )

    def usual_seconds(self) -> dict[str, float]:
        """Return how long a task of each kind took here on average."""
        found: dict[str, list[float]] = {}
        for entry in self._done.values():
            if entry["state"] == TaskState.DONE:
                found.setdefault(entry["do"], []).append(entry["seconds"])
        return {do: sum(seconds) / len(seconds) for do, seconds in found.items()}

    def _add(self, entry: dict[str, Any]) -> None:
        self._journal.append(json.dumps(entry, ensure_ascii=False).encode("utf-8", "surrogatepass"))
        self._learn(entry)

    def __enter__(self) -> Self:
        """Return the ledger."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close its file."""
        self._journal.close()
