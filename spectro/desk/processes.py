"""Starts, counts and calls off the processes of work. They outlive the server, unless it is told to end."""

import os
import signal
import subprocess
import sys
import threading
from contextlib import suppress
from pathlib import Path

from spectro.desk.work_folder import State, WorkFolder, write_json

_WAITS = ("readings", "take"), ("readings", "watch")  # these wait for a person, not for the processor


class Processes:
    """The processes of a work folder; at most as many at once as the machine has cores."""

    def __init__(self, work: WorkFolder) -> None:
        """Take the work they are for: one piece for each core at once, two at least."""
        self._work = work
        self._most = max(2, os.cpu_count() or 2)
        self._mine: dict[str, subprocess.Popen[bytes]] = {}
        self._guard = threading.Lock()

    def start_waiting(self) -> None:
        """Start what waits, the oldest first, as long as there is room."""
        with self._guard:
            for name in [name for name, process in self._mine.items() if process.poll() is not None]:
                del self._mine[name]
            for work in self._work.waiting():
                if work.id in self._mine:
                    continue
                if len(self._mine) < self._most or work.job.words[:2] in _WAITS:
                    self._mine[work.id] = _begun(work.folder)

    def call_off(self, name: str) -> None:
        """Call a piece of work off; it leaves nothing half-written."""
        work = self._work.find(name)
        if work.state == State.WAITING and name not in self._mine:
            write_json(work.folder / "done.json", {"code": 130, "message": "", "seconds": 0.0})
            return
        with self._guard:
            process = self._mine.get(name)
        if process is not None:
            _interrupt(process.pid)
        elif work.state == State.RUNNING:  # begun by an earlier server
            with suppress(OSError, ValueError):
                _interrupt(int((work.folder / "begun").read_text("utf-8")))

    def end(self) -> None:
        """Call off all that runs here, and wait for it."""
        with self._guard:
            mine = [process for process in self._mine.values() if process.poll() is None]
        for process in mine:
            _interrupt(process.pid)
        for process in mine:
            try:
                process.wait(timeout=5)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()


def _begun(folder: Path) -> subprocess.Popen[bytes]:
    """Start a runner in a session of its own, so that a key pressed in the server's terminal does not reach it."""
    return subprocess.Popen(
        [sys.executable, "-m", "spectro.desk.runner", str(folder)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=os.name == "posix",
        env={**os.environ, "PYTHONUTF8": "1"},
    )


def _interrupt(pid: int) -> None:
    with suppress(OSError):
        os.kill(pid, signal.SIGINT if os.name == "posix" else signal.SIGTERM)
