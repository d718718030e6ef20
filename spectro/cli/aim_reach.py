"""`spectro aim reach`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option, number, reading_options
from spectro.cli.printing import print_document, reporting


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument(
        "--colours",
        nargs="+",
        action="extend",
        type=Path,
        required=True,
        metavar="FILE",
        help="the colours to be reached: names with spectra or Lab (CxF, CGATS, CSV, .xlsx)",
    )
    parser.add_argument(
        "--total-area", type=number(0, 1000, above=True), metavar="PERCENT", help="the most ink in total (as much as was read)"
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE.csv",
        help="write the recipes as a table; .cxf: the colours read, with recipes",
    )
    add_tolerances_option(parser)
    add_report_options(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Look for the recipes. Returns 0; what is out of reach is no fault of the print."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.aim_document import reach_document
    from spectro.words.next_step import command
    from spectro.workflow.aim.reach import aim_reach

    with reporting(arguments) as (progress, report):
        found = aim_reach(
            arguments.readings,
            arguments.colours,
            options=reading_options(arguments),
            total_area=arguments.total_area,
            out=arguments.out,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
        document = report(reach_document(found))
    following = command("profile", "build", *arguments.readings)
    return print_document(
        document, arguments, following=following, Recipes=arguments.out, Report=arguments.report, PDF=arguments.pdf
    )
