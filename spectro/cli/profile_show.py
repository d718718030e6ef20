"""`spectro profile show`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="any ICC profile")
    parser.add_argument(
        "--renders",
        type=Path,
        metavar="FOLDER",
        help="write ramps and a made-up photograph as they would print, each intent, and a page (index.html) that shows them",
    )
    parser.add_argument(
        "--stages",
        type=Path,
        metavar="FILE.toml",
        help="what the press is set to now: was the profile's chart printed through it?",
    )
    parser.add_argument("--replace", action="store_true", help="overwrite earlier renders")


def run(arguments: argparse.Namespace) -> int:
    """List the profile. Returns 3 where a fault was found."""
    from spectro.report.profile_document import show_document
    from spectro.words.next_step import after_show
    from spectro.workflow.profile.show import profile_show

    listing = profile_show(arguments.profile, stages=arguments.stages)
    files = ""
    if arguments.renders:
        from spectro.workflow.profile.renders import profile_renders

        names = profile_renders(arguments.profile, arguments.renders, replace=arguments.replace)
        files = "\n".join([f"{arguments.renders}/", *(f"  {name}" for name in names)])
    following = "" if listing.faulty else after_show(arguments.profile, listing.device_class, listing.colour_space)
    return print_document(show_document(listing, files), arguments, following=following)
