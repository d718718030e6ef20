"""`spectro shelf verify`"""

import argparse

from spectro.cli.printing import print_json, print_text, progress_line
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("name", nargs="?", metavar="NAME", help="one condition (else the whole shelf)")
    parser.add_argument(
        "--rebuild", action="store_true", help="then write the index anew from what lies there, forgetting what is lost"
    )
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Hash everything again. Returns 3 where something is damaged, missing or unknown."""
    from dataclasses import asdict

    from spectro.workflow.shelf.verify import shelf_verify

    with progress_line(arguments) as progress:
        found = shelf_verify(arguments.name, shelf=arguments.shelf, rebuild=arguments.rebuild, progress=progress)
    code = 3 if found.faulty else 0
    if arguments.json:
        print_json(asdict(found) | {"faulty": found.faulty})
        return code
    lines = [
        found.verdict,
        "",
        f"  shelf       {found.shelf}",
        f"  conditions  {found.conditions}",
        f"  entries     {found.entries}",
        f"  files       {found.files}, {found.bytes} bytes, SHA-256 of each computed again",
    ]
    if found.findings:
        lines += ["", *(f"  {finding.severity}: {finding.what}: {finding.place}: {finding.text}" for finding in found.findings)]
    if found.rebuilt:
        lines += ["", "The index was written anew from what lies there."]
    print_text("\n".join(lines))
    return code
