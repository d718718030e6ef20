"""One command line run within a worker process: its answer is caught instead of printed."""

import contextlib
import io
import json
import threading
import time
import traceback
from typing import Any

from spectro.cli import main, printing
from spectro.errors import InputError
from spectro.records.batch import Job, JobAnswer
from spectro.records.progress import Progress
from spectro.workflow.batch.addresses import with_copies
from spectro.workflow.batch.digests import program_digest

_ONE_AT_A_TIME = threading.Lock()  # standard output and the current folder are the whole process's


class _Quiet:
    """Takes what a command says on its way, and passes on how far it is."""

    def __init__(self, progress: Progress) -> None:
        self.progress = progress

    def document(self, document: object) -> None:
        """Leave the document alone: its JSON is what counts."""


def run_job(job: Job, progress: Progress) -> JobAnswer:
    """Run a job's command and return what it said, with files from and to their addresses where it has such.

    An error of the input or of ours is an answer, too; only the end of the process is none.
    """
    try:
        return with_copies(job, lambda here: _run_here(here, progress))
    except InputError as error:
        return JobAnswer(code=2, answer=None, message=str(error), program=program_digest())


def _run_here(job: Job, progress: Progress) -> JobAnswer:
    """Run a job whose files are here. Mathematics runs in one thread: other workers have the other cores."""
    said, heard = io.StringIO(), io.StringIO()
    begun = time.perf_counter()
    with (
        _ONE_AT_A_TIME,
        contextlib.chdir(job.folder),
        _one_thread(),
        _outlet(_Quiet(progress)),
        contextlib.redirect_stdout(said),
        contextlib.redirect_stderr(heard),
    ):
        try:
            code = main.run(job.words)
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else 2
        except Exception:
            code = 1
            traceback.print_exc(file=heard)
    return JobAnswer(
        code=code,
        answer=_json(said.getvalue()),
        message=heard.getvalue().strip(),
        seconds=time.perf_counter() - begun,
        program=program_digest(),
    )


def _json(text: str) -> dict[str, Any] | None:
    try:
        value = json.loads(text)
    except ValueError:
        return None
    return value if isinstance(value, dict) else None


@contextlib.contextmanager
def _outlet(outlet: Any) -> Any:
    before, printing.outlet = printing.outlet, outlet
    try:
        yield
    finally:
        printing.outlet = before


@contextlib.contextmanager
def _one_thread() -> Any:
    import numpy  # noqa: F401  its linear algebra must be there to be told
    from threadpoolctl import threadpool_limits

    with threadpool_limits(1):
        yield
