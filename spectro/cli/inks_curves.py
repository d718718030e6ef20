"""`spectro inks curves`"""

import argparse
from pathlib import Path

from spectro.cli.inks_options import add_found_options, ink_names, light_inks_said
from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option, reading_options
from spectro.cli.printing import print_document, reporting


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument(
        "--curve-aim",
        default="tone-value",
        metavar="AIM",
        help="even steps of tone-value, spot-tone-value or lightness; near-neutral: greys of cyan, magenta and "
        "yellow; a CSV file with the columns sent, tone_value; or "
        "readings or a profile of an earlier print, to be brought back to (tone-value)",
    )
    parser.add_argument(
        "--against",
        type=Path,
        metavar="FILE",
        help="for near-neutral: a characterization data set or readings whose greys are the aim (even steps of L*)",
    )
    parser.add_argument("--csv", type=Path, metavar="FILE.csv", help="write the curves as a table")
    parser.add_argument("--xml", type=Path, metavar="FILE.xml", help="write the curves as tone curves in XML (ISO 18620)")
    add_found_options(parser)
    parser.add_argument(
        "--status", choices=["T", "E", "A", "M"], default="E", help="of the densities that tone values come from (E)"
    )
    add_tolerances_option(parser)
    add_report_options(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Make the curves. Returns 0."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.inks_document import curves_document
    from spectro.words.next_step import command, ink_words
    from spectro.workflow.inks.curves import inks_curves

    with reporting(arguments) as (progress, report):
        found = inks_curves(
            arguments.readings,
            curve_aim=arguments.curve_aim,
            against=arguments.against,
            status=arguments.status,
            inks=ink_names(arguments),
            stages=arguments.stages,
            on=arguments.on,
            options=reading_options(arguments),
            out=arguments.out,
            csv=arguments.csv,
            xml=arguments.xml,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
        document = report(curves_document(found))
    kept = ("--stages", arguments.out) if arguments.out else ()
    greys = ("--near-neutral",) if found.greys is not None else ()
    following = command(
        "inks",
        "chart",
        "--channels",
        ink_words(found.stages.inks),
        *light_inks_said(found.stages.inks),
        *greys,
        *kept,
        "--out",
        "check",
    )
    return print_document(
        document, arguments, following=following, Stages=arguments.out, CSV=arguments.csv, XML=arguments.xml,
        Report=arguments.report, PDF=arguments.pdf,
    )  # fmt: skip
