"""`spectro shelf list`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="one condition, with everything under it (else all)")
    parser.add_argument(
        "--settings-sheet", type=Path, metavar="FILE", help='write "print with these settings" as one page, .pdf or .txt'
    )
    parser.add_argument("--replace", action="store_true", help="overwrite an existing sheet")
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """List the shelf, or one condition."""
    from spectro.errors import InputError
    from spectro.report.shelf_document import listing_document
    from spectro.words.next_step import of_condition
    from spectro.workflow.shelf.list import shelf_list

    if arguments.settings_sheet and not arguments.name:
        raise InputError("--settings-sheet without a condition", "the name of one", "Add NAME.")
    listing = shelf_list(arguments.name, shelf=arguments.shelf)
    if arguments.settings_sheet:
        from spectro.workflow.shelf.pack import shelf_sheet

        shelf_sheet(arguments.name, arguments.settings_sheet, shelf=arguments.shelf, replace=arguments.replace)
    document = listing_document(listing, one=bool(arguments.name))
    following = next((line for state in listing.conditions for _, line in [of_condition(state)] if line), "")
    return print_document(document, arguments, following=following, Sheet=arguments.settings_sheet, Shelf=Path(listing.shelf))
