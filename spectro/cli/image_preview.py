"""`spectro image preview`"""

import argparse
from pathlib import Path

from spectro.cli.image_convert import INTENTS, PICTURE, add_black_option, add_from_option, add_wall_option
from spectro.cli.options import number
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option

FIRST_INTENTS = ("perceptual", "relative")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("picture", type=Path, metavar="PICTURE", help=PICTURE)
    parser.add_argument(
        "--papers",
        nargs="+",
        action="extend",
        required=True,
        metavar="PROFILE",
        help=f"profiles of printer and paper to compare{NAMED}",
    )
    parser.add_argument("--intents", nargs="+", action="extend", choices=INTENTS, help="rendering intents (the first two)")
    add_black_option(parser)
    add_from_option(parser)
    parser.add_argument(
        "--display",
        type=Path,
        metavar="FILE",
        help="the profile of the display that it is looked at on, or srgb (the one that the system names, else sRGB)",
    )
    parser.add_argument(
        "--view",
        choices=["next-to-white", "on-wall"],
        default="next-to-white",
        help="next to white, or by itself (next-to-white)",
    )
    parser.add_argument(
        "--flare",
        type=number(0, 20),
        default=0.0,
        metavar="PERCENT",
        help="light that the print's surface mirrors, 0 to 20 (0)",
    )
    add_wall_option(parser)
    parser.add_argument("--longest", type=int, default=900, metavar="N", help="pixels of the longer side at most (900)")
    parser.add_argument(
        "--out", type=Path, metavar="FILE", help="a page (.html), or the proofs side by side as a picture (.png, .tif)"
    )
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")
    add_shelf_option(parser)
    parser.set_defaults(on_shelf=None)


def run(arguments: argparse.Namespace) -> int:
    """Show a picture on papers. Returns 0."""
    with working_from_shelf(arguments, None) as (files, _):
        papers = []
        for word in arguments.papers:
            name = files.named(word)
            papers.append((name, files.profile(name) if name else Path(word)))
        return _preview(arguments, papers)


def _preview(arguments: argparse.Namespace, papers: list[tuple[str, Path]]) -> int:
    from spectro.records.conditions import RenderingIntent
    from spectro.records.image import ViewSettings
    from spectro.report.image_document import preview_document
    from spectro.words.next_step import command
    from spectro.workflow.image.preview import image_preview

    view = ViewSettings(
        beside_white=arguments.view == "next-to-white",
        flare=arguments.flare / 100,
        longest=max(16, arguments.longest),
        wall_lux=arguments.wall_lux,
    )
    with progress_line(arguments) as progress:
        preview = image_preview(
            arguments.picture,
            papers,
            intents=[RenderingIntent(word) for word in arguments.intents or FIRST_INTENTS],
            black_compensation=not arguments.no_black_compensation,
            source=arguments.from_profile,
            display=arguments.display,
            view=view,
            out=arguments.out,
            replace=arguments.replace,
            progress=progress,
        )
    chosen = arguments.papers[preview.choice.number // len(arguments.intents or FIRST_INTENTS)]
    following = command("image", "convert", arguments.picture, "--to", chosen, "--intent", preview.choice.intent)
    return print_document(preview_document(preview), arguments, following=following, Preview=arguments.out)
