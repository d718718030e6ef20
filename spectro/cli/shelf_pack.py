"""`spectro shelf pack`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text
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
    from dataclasses import asdict

    from spectro.workflow.shelf.pack import shelf_pack

    packed = shelf_pack(
        arguments.name,
        arguments.out,
        shelf=arguments.shelf,
        without_readings=arguments.without_readings,
        replace=arguments.replace,
    )
    if arguments.json:
        print_json(asdict(packed))
        return 0
    lines = [packed.verdict, "", *(f"  {name}" for name, _ in packed.contents)]
    if packed.notes:
        lines += ["", *packed.notes]
    print_text("\n".join(lines))
    return 0
