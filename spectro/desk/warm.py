"""A process that is ready before it is asked: a chart's preview while its form is filled in.

`python -m spectro.desk.warm` reads a line of JSON with a command's words, runs it in a folder that is thrown away, and answers
with a line of what it said. The server keeps one such process, so that a change in a form does not wait for a start.
"""

import base64
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from spectro.desk.runner import run
from spectro.desk.work_folder import IN, OUT, read_json, write_json

_PICTURE = "preview.png"


def answered(words: Sequence[str]) -> dict[str, Any]:
    """Run a command in a folder that is thrown away and return what it says: verdict, message, and the preview's picture."""
    folder = Path(tempfile.mkdtemp(prefix="spectro-preview-"))
    here = Path.cwd()
    try:
        for part in (IN, OUT):
            (folder / part).mkdir()
        write_json(folder / "job.json", {"words": list(words)})
        code = run(folder)
        answer = read_json(folder / "answer.json")
        pictures = sorted((folder / OUT).rglob(_PICTURE))
        data = base64.b64encode(pictures[0].read_bytes()).decode("ascii") if pictures else ""
        return {
            "code": code,
            **{name: answer.get(name) for name in ("patches", "pages", "reading_minutes")},
            "message": read_json(folder / "done.json").get("message", ""),
            "picture": f"data:image/png;base64,{data}" if data else "",
        }
    finally:
        os.chdir(here)
        shutil.rmtree(folder, ignore_errors=True)


def main() -> None:
    """Answer lines until there are no more."""
    import spectro.workflow.chart.new  # noqa: F401  (the slow part of a start, done before the first question)

    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    for line in sys.stdin:
        out.write(json.dumps(answered(json.loads(line)["words"]), ensure_ascii=False) + "\n")
        out.flush()


class Warm:
    """The process, started when it is first wanted; one question at a time, and only the newest is answered."""

    def __init__(self) -> None:
        """Start nothing yet."""
        self._process: subprocess.Popen[str] | None = None
        self._one, self._newest = threading.Lock(), 0

    def ask(self, words: Sequence[str]) -> dict[str, Any]:
        """Return what the command says; empty where a newer question came meanwhile."""
        self._newest += 1
        mine = self._newest
        with self._one:
            if mine != self._newest:
                return {}
            process = self._ready()
            try:
                return self._exchange(process, words)
            except (OSError, ValueError):
                self.end()
                return {}

    def _exchange(self, process: subprocess.Popen[str], words: Sequence[str]) -> dict[str, Any]:
        if process.stdin is None or process.stdout is None:
            return {}
        process.stdin.write(json.dumps({"words": list(words)}) + "\n")
        process.stdin.flush()
        answer: dict[str, Any] = json.loads(process.stdout.readline())
        return answer

    def _ready(self) -> subprocess.Popen[str]:
        if self._process is None or self._process.poll() is not None:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "spectro.desk.warm"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                start_new_session=os.name == "posix",
            )
        return self._process

    def end(self) -> None:
        """End the process, if it runs."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            with suppress(OSError):
                process.communicate()


if __name__ == "__main__":
    main()
