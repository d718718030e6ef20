"""`spectro shelf verify`"""

import argparse

from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="one condition (else the whole shelf)")
    parser.add_argument(
        "--rebuild", action="store_true", help="then write the index again from what lies there, forgetting what is lost"
    )
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Hash everything again. Returns 3 where something is damaged, missing or unknown."""
    from spectro.report.shelf_document import verify_document
    from spectro.words.next_step import command
    from spectro.workflow.shelf.verify import shelf_verify

    with progress_line(arguments) as progress:
        found = shelf_verify(arguments.name, shelf=arguments.shelf, rebuild=arguments.rebuild, progress=progress)
    following = "" if found.faulty else command("shelf", "list")
    return print_document(verify_document(found), arguments, following=following)
