"""`spectro shelf note`"""

import argparse
from pathlib import Path

from spectro.cli.options import iso_date
from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", metavar="NAME", help="the printing condition")
    parser.add_argument(
        "words",
        metavar="WORDS",
        help="what was done or has changed: head clean, ink, paper batch, driver, firmware, or your words; the name of an aim "
        "or link that is kept",
    )
    parser.add_argument(
        "--picture", type=Path, metavar="FILE", help="keep a screenshot of the settings in the driver or RIP (PNG, JPEG, PDF)"
    )
    parser.add_argument(
        "--aim",
        type=Path,
        metavar="AIM",
        help="keep an aim under the words as its name: a data set, or a TOML file with limits",
    )
    parser.add_argument("--link", type=Path, metavar="FILE.icc", help="keep a device link under the words as its name")
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="when, such as 2026-01-31 (now)")
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Write an event down."""
    from spectro.report.shelf_document import note_document
    from spectro.words.next_step import READINGS, command
    from spectro.workflow.shelf.note import shelf_note

    name, entry = shelf_note(
        arguments.name,
        arguments.words,
        picture=arguments.picture,
        aim=arguments.aim,
        link=arguments.link,
        date=arguments.date,
        shelf=arguments.shelf,
    )
    following = command("drift", name, READINGS) if entry.event else command("shelf", "list", name)
    return print_document(note_document(entry, name), arguments, following=following)
