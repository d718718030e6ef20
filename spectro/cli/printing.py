"""What every command prints with: JSON, text, and a progress line that only a terminal sees.

Whatever came from outside, names of files above all, is made fit for a terminal here (records/shown_text.py).
"""

import argparse
import contextlib
import json
import logging
import math
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from spectro.cli.argument_names import named_as_options, with_options
from spectro.errors import OutputFileError
from spectro.records.progress import Progress, silent
from spectro.records.shown_text import shown_json, shown_text

if TYPE_CHECKING:
    from spectro.readings.sitting_state import SittingState
    from spectro.records.document import Document
    from spectro.records.sitting import Answer, Prompt, SittingEvent
    from spectro.workflow.readings.sitting_plan import SittingPlan


class Outlet(Protocol):
    """Takes what commands say where no terminal is there."""

    def progress(self, what: str, done: float, /) -> None:
        """Take note of progress, as `records/progress.py` says."""

    def document(self, document: "Document") -> None:
        """Take the document that a command ends with."""

    def say(self, words: str) -> None:
        """Take a sentence of a sitting."""

    def ask(self, prompt: "Prompt") -> "Answer":
        """Let a person choose one of a prompt's offers."""

    def seen(self, plan: "SittingPlan", state: "SittingState", event: "SittingEvent") -> None:
        """Take note of what a sitting has just taken."""

    def aside(self) -> bytes:
        """Give the lines that a person says between readings, such as undo; b"" for none."""


outlet: Outlet | None = None
"""Set by a process that shows what a command says elsewhere; None: the terminal alone."""


def listened_to() -> bool:
    """Tell whether documents are shown elsewhere than in a terminal, with their figures."""
    return outlet is not None


def finite(value: Any) -> Any:
    """Return value with every number that JSON cannot hold (NaN, infinities) replaced by None, at any depth."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [finite(item) for item in value]
    return value


def print_json(value: dict[str, Any], arguments: argparse.Namespace) -> None:
    """Print value as one JSON object on standard output, arguments named as options."""
    value = named_as_options(finite(value), arguments.options)
    write_out(shown_json(json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2)) + "\n")


def print_text(text: str, arguments: argparse.Namespace) -> None:
    """Print text and a line end on standard output, arguments named as options."""
    write_out(shown_text(with_options(text, arguments.options).rstrip("\n")) + "\n")


def write_out(text: str) -> None:
    """Write text to standard output at once. Raises OutputFileError where it takes no more, BrokenPipeError as it comes."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise  # whoever read has enough; main ends quietly
    except OSError as error:
        raise OutputFileError("standard output", error.strerror or "a write error") from error


def speak(text: str) -> None:
    """Say text on standard error, where there is one to hear it."""
    with contextlib.suppress(OSError, ValueError, AttributeError):  # closed, full, or none
        sys.stderr.write(shown_text(text))
        sys.stderr.flush()


class ShownFormatter(logging.Formatter):
    """Log lines without what a terminal would obey."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of a record."""
        return shown_text(super().format(record))


def print_document(
    document: "Document", arguments: argparse.Namespace, *, following: str = "", **written: Path | str | None
) -> int:
    """Print a document, as JSON where that is asked for. Returns the exit code: 3 where a fault was found, else 0.

    following: the command that comes next; "": the one the document's verdict names, if any. It is told on standard error,
    ready to be copied. written: files that were written, by what they are (Report, PDF), named below the text.
    """
    from spectro.records.document import Level

    if following:
        document = replace(document, verdict=replace(document.verdict, next=following))
    to_outlet(document)
    if arguments.json:
        from spectro.report.render_json import render_json

        print_json(render_json(document), arguments)
    else:
        from spectro.report.render_text import render_text

        files = "".join(f"\n\n{what}: {path}" for what, path in written.items() if path)
        print_text(render_text(document) + files, arguments)
        print_next(document.verdict.next, arguments)
    return 3 if document.verdict.level is Level.FAULT else 0


def to_outlet(document: "Document") -> None:
    """Give a document to whoever shows it elsewhere, where somebody does."""
    if outlet is not None:
        outlet.document(document)


def print_next(following: str, arguments: argparse.Namespace) -> None:
    """Tell the command that comes next on standard error, unless --quiet or --json ask for silence."""
    if following and not arguments.quiet and not arguments.json:
        speak(f"Next: {following}\n")


@contextmanager
def progress_line(arguments: argparse.Namespace) -> Iterator[Progress]:
    """Yield a progress function: a bar on a terminal's standard error, nothing with --quiet, --json or no terminal."""
    if outlet is not None:
        yield outlet.progress
        return
    if arguments.quiet or arguments.json or not sys.stderr.isatty():
        yield silent
        return
    from rich import progress as bars
    from rich.console import Console

    columns = (bars.TextColumn("{task.description}"), bars.BarColumn(), bars.TimeElapsedColumn())
    with bars.Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=1.0)
        yield lambda what, done: bar.update(task, description=what, completed=done)


@contextmanager
def reporting(arguments: argparse.Namespace) -> "Iterator[tuple[Progress, Callable[[Document], Document]]]":
    """Yield a progress function, and what writes a document as the report and the PDF that are asked for and returns it.

    Names of files that cannot be written are refused before anything is done.
    """
    from spectro.workflow.steps.report_files import check_reports, write_reports

    check_reports(arguments.report, arguments.pdf, replace=arguments.replace)
    with progress_line(arguments) as progress:

        def report(document: "Document") -> "Document":
            write_reports(document, arguments.report, arguments.pdf, replace=arguments.replace, progress=progress)
            return document

        yield progress, report
