"""`spectro inks limits`"""

import argparse

from spectro.cli.inks_options import add_found_options, ink_names, ink_percent
from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option, number, reading_options
from spectro.cli.printing import print_document, reporting


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument(
        "--look-for", choices=["single-inks", "total-area", "both"], default="both", help="which limits are looked for (both)"
    )
    parser.add_argument(
        "--bleeds",
        type=ink_percent,
        nargs="+",
        action="extend",
        default=[],
        metavar="INK=PERCENT",
        help="what you saw: from here on it bleeds or does not dry; cyan=90, or total=280 for all inks together",
    )
    parser.add_argument(
        "--total-area",
        type=number(0, 1000, above=True),
        metavar="PERCENT",
        help="the total that is stated for the process (300)",
    )
    add_found_options(parser)
    add_tolerances_option(parser)
    add_report_options(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing files")


def run(arguments: argparse.Namespace) -> int:
    """Find the limits. Returns 0."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.inks_document import limits_document
    from spectro.words.next_step import after_limits
    from spectro.workflow.inks.limits import inks_limits

    with reporting(arguments) as (progress, report):
        found = inks_limits(
            arguments.readings,
            look_for=arguments.look_for,
            bleeds=dict(arguments.bleeds),
            total_area=arguments.total_area,
            inks=ink_names(arguments),
            stages=arguments.stages,
            on=arguments.on,
            options=reading_options(arguments),
            out=arguments.out,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
        document = report(limits_document(found))
    following = after_limits(arguments.readings, found.stages.inks, out=arguments.out, curved="curves" in arguments.on)
    return print_document(
        document, arguments, following=following, Stages=arguments.out, Report=arguments.report, PDF=arguments.pdf
    )
