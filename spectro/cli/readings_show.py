"""`spectro readings show`"""

import argparse
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_chart_option,
    add_condition_option,
    add_insist_option,
    add_list_option,
    add_order_option,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("readings", nargs="?", type=Path, metavar="FILE|FOLDER", help="a file of readings, or a folder of them")
    add_chart_option(parser)
    add_order_option(parser)
    parser.add_argument("--predict-with", type=Path, metavar="FILE", help="a profile or earlier readings to compare them with")
    add_condition_option(parser)
    picture = parser.add_argument(
        "--draw", dest="picture", type=Path, metavar="FILE", help="draw the pages: .png, .svg, or with all of this .html, .pdf"
    )
    earlier_name(parser, picture, "--picture")
    add_list_option(parser, "--drying", "READING", "the same patches read again and again, oldest first", kind=Path)
    parser.add_argument(
        "--noise", type=number(0, 100), metavar="DE", help="mean ΔE00 of one reading, for --drying without repeats"
    )
    add_insist_option(parser)
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing picture")


def run(arguments: argparse.Namespace) -> int:
    """Run the command. 3 where something looks misread, or the print still changes."""
    from spectro.errors import InputError
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.readings_document import shown_document
    from spectro.words.next_step import after_readings
    from spectro.workflow.readings.show import readings_show
    from spectro.workflow.steps.chart_purpose import purpose_of_readings

    if arguments.noise is not None and not arguments.drying:
        raise InputError("--noise without --drying", "readings of the same patches again and again", "Add --drying READING …")
    with progress_line(arguments) as progress:
        shown = readings_show(
            arguments.readings,
            options=reading_options(arguments),
            predict_with=arguments.predict_with,
            picture=arguments.picture,
            drying=arguments.drying,
            noise=arguments.noise,
            tolerances=read_tolerances(arguments.tolerances),
            replace=arguments.replace,
            progress=progress,
        )
    following = ""
    if arguments.readings is not None and not shown.faults:
        following = after_readings([arguments.readings], purpose_of_readings([arguments.readings]))
    print_document(shown_document(shown), arguments, following=following)
    return 3 if shown.faults else 0
