"""`spectro shelf note`"""

import argparse

from spectro.cli.options import iso_date
from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", metavar="NAME", help="the printing condition")
    parser.add_argument(
        "words",
        metavar="WORDS",
        help="what was done or has changed: head clean, ink, paper batch, driver, firmware, or your words",
    )
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="when, such as 2026-01-31 (now)")
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write an event down."""
    from spectro.report.shelf_document import note_document
    from spectro.words.next_step import READINGS, command
    from spectro.workflow.shelf.note import shelf_note

    entry = shelf_note(arguments.name, arguments.words, date=arguments.date, shelf=arguments.shelf)
    following = command("drift", READINGS, "--on-shelf", arguments.name)
    return print_document(note_document(entry, arguments.name), arguments, following=following)
