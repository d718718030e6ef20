"""A condition's name instead of a file: what commands do before they run, so that the shelf is where one works from."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from spectro.workflow.steps.condition_files import ConditionFiles

NAMED = "; or the NAME of a printing condition on the shelf, which finds it there"
"""What the help of an argument adds where a condition's name will do."""


@contextmanager
def working_from_shelf(arguments: argparse.Namespace, word: object) -> "Iterator[tuple[ConditionFiles, str]]":
    """Yield what finds files on the shelf, and the name of the condition that a word of the command line means.

    The name is "" where the word is a file. Where it is a condition, what the command makes is kept under it, as --on-shelf
    would say. Raises ShelfError for a start of a name that fits several.
    """
    from spectro.workflow.steps.condition_files import condition_files

    with condition_files(arguments.shelf) as files:
        name = files.named(str(word)) if word is not None else ""
        if name and not arguments.on_shelf:
            arguments.on_shelf = name
        yield files, name


def first_chart(files: "ConditionFiles", arguments: argparse.Namespace) -> "Path | None":
    """Return the folder of the chart that a condition's profile was made from, None where the shelf has none."""
    return files.chart(files.named(arguments.on_shelf) or arguments.on_shelf) if arguments.on_shelf else None
