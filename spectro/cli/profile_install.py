"""`spectro profile install`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="the profile; with --remove its name is enough")
    parser.add_argument("--remove", action="store_true", help="take it away again: only what this command installed")
    parser.add_argument("--folder", type=Path, help="another folder, for programs that have their own")
    parser.add_argument("--replace", action="store_true", help="overwrite another file of that name")


def run(arguments: argparse.Namespace) -> int:
    """Install the profile or take it away. Returns 0."""
    from spectro.report.profile_document import install_document
    from spectro.words.next_step import command
    from spectro.workflow.profile.install import profile_install

    place = profile_install(arguments.profile, remove=arguments.remove, folder=arguments.folder, replace=arguments.replace)
    following = "" if arguments.remove else command("viewing", arguments.profile, "--viewing", "P2")
    return print_document(install_document(place), arguments, following=following)
