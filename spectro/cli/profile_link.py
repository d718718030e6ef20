"""`spectro profile link`"""

import argparse
from pathlib import Path

from spectro.cli.image_convert import INTENTS
from spectro.cli.options import add_report_options, iso_date, number
from spectro.cli.printing import print_document, reporting
from spectro.cli.shelf_names import NAMED, working_from_shelf
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition, with_kept
from spectro.records.link import USUALLY_KEPT, BlackOf, Kept, LinkSettings

NOTHING = "nothing"
_END = f"a CMYK profile, or CMYK data with device values and colours{NAMED}"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("source", type=Path, metavar="FROM", help=f"what inks are now meant for: {_END}")
    parser.add_argument("target", type=Path, metavar="TO", help=f"what is to print them: {_END}")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.icc", help="the link to write")
    parser.add_argument(
        "--keep",
        nargs="+",
        action="extend",
        choices=[*map(str, Kept), NOTHING],
        metavar="INKS",
        help="which inks stay pure: black (full black alone), black-ramps (any amount of it), solids (cyan, magenta or yellow "
        "alone), secondaries (any two of them), shades (one of them with black), or nothing (black-ramps solids secondaries)",
    )
    parser.add_argument("--intent", choices=INTENTS, default="relative", help="rendering intent (relative)")
    parser.add_argument(
        "--black-compensation",
        action="store_true",
        help="bring the source's black to the target's, so that shadows keep their detail; with perceptual or relative",
    )
    parser.add_argument(
        "--black-as",
        choices=list(map(str, BlackOf)),
        default="from",
        help="how much black other colours carry: as FROM has it, or as TO's own profile (from)",
    )
    parser.add_argument(
        "--total-area", type=number(0, 1000, above=True), metavar="PERCENT", help="most ink in all (what TO keeps)"
    )
    parser.add_argument("--icc-version", type=int, choices=[2, 4], default=2, help="2 is read everywhere (2)")
    parser.add_argument("--grid", type=int, default=17, metavar="N", help="grid points per axis, 9 to 25 (17)")
    parser.add_argument("--date", type=iso_date, metavar="ISO", help="date of the link (the newer of both profiles)")
    add_report_options(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")
    add_on_shelf_options(parser, "that keeps the link; that of TO, where TO is a name")


def run(arguments: argparse.Namespace) -> int:
    """Make the link. Returns 0, or 3 where it does not keep what it should."""
    wanted_condition(arguments)  # one that is not there is refused before any work
    if arguments.source.exists() and arguments.target.exists():  # the shelf costs a third of the start-up, and is not asked
        return _link(arguments, (arguments.source, ""), (arguments.target, ""))
    with working_from_shelf(arguments, arguments.target) as (files, second):
        first = files.named(arguments.source)
        source = files.profile(first) if first else arguments.source
        target = files.profile(second) if second else arguments.target
        return _link(arguments, (source, first), (target, second))


def _link(arguments: argparse.Namespace, source: tuple[Path, str], target: tuple[Path, str]) -> int:
    from spectro.report.link_document import link_document
    from spectro.words.next_step import command
    from spectro.workflow.profile.link import profile_link
    from spectro.workflow.steps.aims_and_links import keep_link

    settings = link_settings(arguments)
    with reporting(arguments) as (progress, report):
        found = profile_link(
            source[0],
            target[0],
            arguments.out,
            settings=settings,
            source_name=source[1],
            target_name=target[1],
            replace=arguments.replace,
            progress=progress,
        )
        document = report(link_document(found))
    following = command("image", "convert", "PICTURE.tif", "--link", arguments.out)
    if arguments.on_shelf:
        kept = keep_link(arguments.shelf, arguments.on_shelf, arguments.out, "", (source[0], target[0]))
        document = with_kept(document, arguments.on_shelf, kept)
        following = command("image", "convert", "PICTURE.tif", "--link", kept[-1].note)
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)


def link_settings(arguments: argparse.Namespace) -> LinkSettings:
    """Return what was asked for. Raises InputError for what cannot be."""
    from spectro.errors import InputError
    from spectro.records.conditions import RenderingIntent

    words = arguments.keep
    if words and NOTHING in words and len(set(words)) > 1:
        raise InputError("`keep` nothing together with other inks", "one or the other", "Leave one of them out.")
    kept = USUALLY_KEPT if words is None else tuple(one for one in Kept if str(one) in words)
    return LinkSettings(
        keep=kept,
        intent=RenderingIntent(arguments.intent),
        black_compensation=arguments.black_compensation,
        black_of=BlackOf(arguments.black_as),
        total_area=arguments.total_area,
        grid=arguments.grid,
        icc_version=arguments.icc_version,
        date=arguments.date,
    )
