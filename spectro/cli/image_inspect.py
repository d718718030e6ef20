"""`spectro image inspect`"""

import argparse
from pathlib import Path

from spectro.cli.image_convert import PICTURES, add_from_option, add_intent_options, picture_settings
from spectro.cli.options import number
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("pictures", nargs="+", type=Path, metavar="PICTURE", help=PICTURES)
    parser.add_argument("--to", type=Path, metavar="PROFILE", help=f"the profile of printer and paper to convert to{NAMED}")
    add_intent_options(parser)
    add_from_option(parser)
    parser.add_argument(
        "--print-width",
        type=number(0, 100_000, above=True),
        metavar="MM",
        help="how wide it is to be printed (as the file says)",
    )
    add_shelf_option(parser)
    parser.set_defaults(on_shelf=None)


def run(arguments: argparse.Namespace) -> int:
    """Look at pictures. Returns 0, or 2 where some could not be read."""
    if arguments.to is None or arguments.to.exists():  # the shelf costs a third of the start-up, and is not asked
        return _inspect(arguments, arguments.to, "")
    with working_from_shelf(arguments, arguments.to) as (files, name):
        return _inspect(arguments, files.profile(name) if name else arguments.to, name)


def _inspect(arguments: argparse.Namespace, profile: Path | None, name: str) -> int:
    from spectro.report.image_document import inspection_document
    from spectro.words.next_step import command
    from spectro.workflow.image.inspect import image_inspect

    with progress_line(arguments) as progress:
        inspection = image_inspect(
            arguments.pictures,
            to=profile,
            source=arguments.from_profile,
            print_width=arguments.print_width,
            settings=picture_settings(arguments),
            condition=name,
            progress=progress,
        )
    following = command("image", "convert", *arguments.pictures, "--to", name or profile or "PROFILE.icc")
    if not profile and inspection.pictures and all(one.space == "cmyk" for one in inspection.pictures):
        following = command("profile", "link", "THEIRS.icc", "OURS.icc", "--out", "link.icc")
    code = print_document(inspection_document(inspection), arguments, following=following)
    return 2 if inspection.refused else code
