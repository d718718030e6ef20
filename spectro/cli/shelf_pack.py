"""`spectro shelf pack`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", metavar="NAME", help="the printing condition")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.zip", help="the file to write")
    parser.add_argument(
        "--without-readings", action="store_true", help="leave the readings out, also those that the profile carries inside"
    )
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file")
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Pack the condition."""
    from spectro.report.shelf_document import pack_document
    from spectro.words.next_step import command
    from spectro.workflow.shelf.pack import shelf_pack

    packed = shelf_pack(
        arguments.name,
        arguments.out,
        shelf=arguments.shelf,
        without_readings=arguments.without_readings,
        replace=arguments.replace,
    )
    return print_document(pack_document(packed), arguments, following=command("shelf", "list", arguments.name))
