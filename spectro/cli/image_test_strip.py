"""`spectro image test-strip`"""

import argparse
from pathlib import Path

from spectro.cli.image_convert import INTENTS, PICTURE, add_black_option, add_from_option
from spectro.cli.options import number
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("picture", type=Path, metavar="PICTURE", help=PICTURE)
    parser.add_argument(
        "--to", type=Path, required=True, metavar="PROFILE", help=f"the profile of printer and paper to convert to{NAMED}"
    )
    parser.add_argument(
        "--intents", nargs="+", action="extend", choices=INTENTS, help="rendering intents, a row each (perceptual, relative)"
    )
    parser.add_argument(
        "--wall-lux",
        nargs="+",
        action="extend",
        type=number(10, 500),
        metavar="LUX",
        help="lightenings for places with so much light, a column each after the picture as it is (150 80 50)",
    )
    parser.add_argument(
        "--at",
        nargs=2,
        type=number(0, 100),
        default=(50.0, 50.0),
        metavar="PERCENT",
        help="the middle of the part that is shown, percent across and down (50 50)",
    )
    parser.add_argument(
        "--print-width", type=number(0, 100_000, above=True), metavar="MM", help="how wide it is to be printed (as it says)"
    )
    add_black_option(parser)
    add_from_option(parser)
    parser.add_argument("--out", type=Path, metavar="FILE.tif", help="the strip (named after picture and paper)")
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")
    add_shelf_option(parser)
    parser.set_defaults(on_shelf=None)


def run(arguments: argparse.Namespace) -> int:
    """Write the strip. Returns 0."""
    with working_from_shelf(arguments, arguments.to) as (files, name):
        return _strip(arguments, files.profile(name) if name else arguments.to, name)


def _caption(intent: str, lux: float | None) -> str:
    """Return the options that make a tile."""
    return f"--intent {intent}" + ("" if lux is None else f" --wall-lux {lux:g}")


def _strip(arguments: argparse.Namespace, profile: Path, name: str) -> int:
    from spectro.records.conditions import RenderingIntent
    from spectro.report.image_document import strip_document
    from spectro.words.next_step import command
    from spectro.workflow.image.test_strip import INTENTS as USUAL
    from spectro.workflow.image.test_strip import LIGHTENINGS, StripSettings, image_test_strip

    settings = StripSettings(
        intents=[RenderingIntent(word) for word in arguments.intents or USUAL],
        lightenings=arguments.wall_lux or LIGHTENINGS,
        at=(arguments.at[0], arguments.at[1]),
        print_width=arguments.print_width,
        black_compensation=not arguments.no_black_compensation,
        caption=_caption,
    )
    with progress_line(arguments) as progress:
        strip = image_test_strip(
            arguments.picture,
            profile,
            settings=settings,
            source=arguments.from_profile,
            condition=name,
            out=arguments.out,
            replace=arguments.replace,
            progress=progress,
        )
    following = command("image", "convert", arguments.picture, "--to", name or profile)
    return print_document(strip_document(strip), arguments, following=following)
