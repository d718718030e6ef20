"""`spectro profile install`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help=f"the profile; with --remove its name is enough{NAMED}")
    parser.add_argument("--remove", action="store_true", help="take it away again: only what this command installed")
    parser.add_argument("--folder", type=Path, help="another folder, for programs that have their own")
    parser.add_argument("--replace", action="store_true", help="overwrite another file of that name")
    add_shelf_option(parser)
    parser.set_defaults(on_shelf=None)


def run(arguments: argparse.Namespace) -> int:
    """Install the profile or take it away. Returns 0."""
    with working_from_shelf(arguments, arguments.profile) as (files, name):
        return _install(files.profile(name) if name else arguments.profile, name, arguments)


def _install(profile: Path, name: str, arguments: argparse.Namespace) -> int:
    from spectro.report.profile_document import install_document
    from spectro.words.next_step import command
    from spectro.workflow.profile.install import profile_install

    place = profile_install(profile, remove=arguments.remove, folder=arguments.folder, replace=arguments.replace)
    following = "" if arguments.remove else command("viewing", place.place if name else profile, "--viewing", "P2")
    return print_document(install_document(place), arguments, following=following)
