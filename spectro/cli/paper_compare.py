"""`spectro paper compare`"""

import argparse

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_how_read_options,
    add_list_option,
    add_report_options,
    add_tolerances_option,
    number,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_options import add_shelf_option
from spectro.errors import InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "papers",
        nargs="+",
        metavar="PAPER",
        help="the old paper, then new ones: FILE, NAME=FILE, or FILE,FILE for readings under two measurement conditions; "
        "readings, colours or a profile; or the NAME of a printing condition on the shelf",
    )
    one = parser.add_argument(
        "--one-paper", dest="settings", action="store_true", help="the files are one paper under several driver settings"
    )
    earlier_name(parser, one, "--settings")
    add_list_option(
        parser,
        "--weight",
        "CRITERION=WEIGHT",
        "order the papers by: white, black, contrast, gamut, shadows, greys, light, noise, cost (gamut=2 black=1)",
        kind=weight,
    )
    add_list_option(parser, "--cost", "NAME=COST", "what one print costs", kind=weight)
    parser.add_argument(
        "--illuminant", action="extend", nargs="+", metavar="LIGHT", help="lights that prints are seen in (A D65 F11 LED-B3)"
    )
    parser.add_argument(
        "--surface-reflection",
        type=number(0, 100),
        default=1.0,
        metavar="PERCENT",
        help="light that the surface mirrors on a wall, for contrast (1)",
    )
    add_how_read_options(parser)
    add_shelf_option(parser)
    add_report_options(parser)
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite existing reports")


def weight(text: str) -> tuple[str, float]:
    """Return name and number of `NAME=NUMBER`; the number may have a decimal comma."""
    name, equals, text_number = text.rpartition("=")
    try:
        if not (name and equals):
            raise ValueError
        return name.strip(), number(0, 1e9)(text_number.replace(",", "."))
    except (ValueError, argparse.ArgumentTypeError) as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=NUMBER, such as gamut=2") from error


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.comparison_document import comparison_document
    from spectro.words.next_step import after_comparison
    from spectro.workflow.paper.compare import LIGHTS, paper_compare
    from spectro.workflow.steps.shelf import files_by_name

    if arguments.weight and not arguments.cost and any(name == "cost" for name, _ in arguments.weight):
        raise InputError("--weight cost without --cost", "what one print costs", "Add --cost NAME=COST for each paper.")

    with progress_line(arguments) as progress:
        found = paper_compare(
            arguments.papers,
            settings=arguments.settings,
            weights=dict(arguments.weight) or None,
            costs=dict(arguments.cost),
            lights=arguments.illuminant or LIGHTS,
            surface_reflection=arguments.surface_reflection / 100,
            options=reading_options(arguments),
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            find=files_by_name(arguments.shelf),
            progress=progress,
        )
    document = comparison_document(found, arguments.surface_reflection / 100)
    following = after_comparison(arguments.papers[-1], found.papers[-1].kind)
    return print_document(document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf)
