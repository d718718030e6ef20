"""`spectro image test-picture`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "--out", type=Path, default=Path("test-picture"), metavar="FOLDER", help="the folder that is written (test-picture)"
    )
    parser.add_argument(
        "--with-patches", action="store_true", help="two rows of patches to be measured below the fields, and their list"
    )
    parser.add_argument("--pixels-per-inch", type=int, default=300, metavar="N", help="resolution, 100 to 720 (300)")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Make the picture and its sheet. Returns 0."""
    from spectro.report.fault_picture_document import fault_picture_document
    from spectro.words.next_step import command
    from spectro.workflow.image.test_picture import PICTURE, image_test_picture

    with progress_line(arguments) as progress:
        made = image_test_picture(
            arguments.out,
            pixels_per_inch=arguments.pixels_per_inch,
            with_patches=arguments.with_patches,
            replace=arguments.replace,
            progress=progress,
        )
    following = command("image", "convert", arguments.out / PICTURE, "--to", "PROFILE.icc")
    return print_document(fault_picture_document(made), arguments, following=following)
