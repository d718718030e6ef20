"""The process of one piece of work: `python -m spectro.desk.runner FOLDER` runs the command that job.json names.

What it says goes into small files of that folder, each written whole. It ends as the command ends on a terminal: an interrupt
leaves nothing half-written.
"""

import io
import os
import sys
import time
import traceback
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING

from filelock import FileLock

from spectro.desk.live_sitting import Live
from spectro.desk.work_folder import OUT, read_json, write_json

if TYPE_CHECKING:
    from spectro.readings.sitting_state import SittingState
    from spectro.records.document import Document
    from spectro.records.sitting import Answer, Prompt, SittingEvent
    from spectro.workflow.readings.sitting_plan import SittingPlan

_OFTEN = 0.15  # seconds between two notes of progress


class Outlet:
    """Takes what a command says, in place of the terminal."""

    def __init__(self, folder: Path) -> None:
        """Take the work's folder."""
        self._folder, self._last = folder, 0.0
        self._live = Live(folder)

    def progress(self, what: str, done: float, /) -> None:
        """Note progress, a few times a second."""
        now = time.monotonic()
        if done >= 1 or now - self._last >= _OFTEN:
            self._last = now
            write_json(self._folder / "progress.json", {"what": what, "done": done})

    def document(self, document: "Document") -> None:
        """Keep the document as a page and as JSON."""
        from spectro.cli.printing import finite
        from spectro.report.render_html import render_html
        from spectro.report.render_json import render_json

        write_json(self._folder / "answer.json", finite(render_json(document)))
        page = self._folder / "page.html"
        page.with_suffix(".new").write_text(render_html(document), "utf-8")
        os.replace(page.with_suffix(".new"), page)

    def say(self, words: str) -> None:
        """Show a sentence of a sitting."""
        self._live.say(words)

    def ask(self, prompt: "Prompt") -> "Answer":
        """Show the offers of a sitting as buttons and wait for one to be pressed."""
        return self._live.ask(prompt)

    def seen(self, plan: "SittingPlan", state: "SittingState", event: "SittingEvent") -> None:
        """Show a strip that was taken."""
        self._live.seen(plan, state, event)

    def aside(self) -> bytes:
        """Give what was said on the page between readings."""
        return self._live.aside()


def run(folder: Path) -> int:
    """Run the work in folder and return the command's exit code."""
    from spectro.cli import main, printing

    start = time.monotonic()
    words = [str(word) for word in read_json(folder / "job.json").get("words", ())]
    printed, said = io.StringIO(), io.StringIO()
    printing.outlet = Outlet(folder)
    os.chdir(folder / OUT)
    try:
        with redirect_stdout(printed), redirect_stderr(said):
            code = main.run(words)
    except SystemExit as stop:  # argparse refuses a command line so
        code = stop.code if isinstance(stop.code, int) else 2
    except BaseException:
        said.write(traceback.format_exc())
        code = 1
    (folder / "printed.txt").write_text(printed.getvalue(), "utf-8")
    write_json(folder / "done.json", {"code": code, "message": _message(said.getvalue()), "seconds": time.monotonic() - start})
    return code


def _message(said: str) -> str:
    """Return what was said on standard error as sentences for a page."""
    return said.strip().removeprefix("spectro: ")[-4000:]


def main() -> None:
    """Hold the lock, run, and leave."""
    folder = Path(sys.argv[1]).resolve()
    with FileLock(folder / "lock", timeout=5):
        (folder / "begun").write_text(str(os.getpid()), "utf-8")
        sys.exit(run(folder))


if __name__ == "__main__":
    main()
