"""`spectro profile install`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_json, print_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("profile", type=Path, metavar="PROFILE", help="the profile; with --remove its name is enough")
    parser.add_argument("--remove", action="store_true", help="take it away again: only what this command installed")
    parser.add_argument("--folder", type=Path, help="another folder, for programs that have their own")
    parser.add_argument("--replace", action="store_true", help="overwrite another file of that name")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dataclasses import asdict

    from spectro.workflow.profile.install import profile_install

    place = profile_install(arguments.profile, remove=arguments.remove, folder=arguments.folder, replace=arguments.replace)
    if arguments.json:
        print_json(asdict(place))
        return 0
    lines = [place.verdict, "", f"  file            {place.place}", f"  folder          {place.folder_from}"]
    lines += ["", *(f"  {sentence}" for sentence in place.next)] if place.next else []
    print_text("\n".join(lines))
    return 0
