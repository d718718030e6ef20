"""`spectro paper describe`"""

import argparse
from pathlib import Path

from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_light_option,
    add_reading_options,
    add_report_options,
    add_tolerances_option,
    reading_options,
)
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    add_light_option(
        parser, "where prints will hang: a CIE illuminant, daylight such as 5500K, or a file of the light's spectrum (D50)"
    )
    parser.add_argument(
        "--adaptation",
        choices=["CAT02", "CAT16", "Bradford", "CMCCAT2000"],
        default="CAT02",
        help="how the eye's adaptation is computed in colour inconstancy (CAT02)",
    )
    parser.add_argument("--over-black", type=Path, metavar="FILE", help="readings of the bare sheet over a black backing")
    backing = parser.add_argument(
        "--backing-readings", dest="backing", type=Path, metavar="FILE", help="readings of the backing alone"
    )
    name = parser.add_argument("--paper", dest="name", default="", metavar="TEXT", help="the paper by name, for the sheet")
    earlier_name(parser, backing, "--backing")
    earlier_name(parser, name, "--name")
    add_report_options(parser, "the sheet")
    add_tolerances_option(parser)
    parser.add_argument("--replace", action="store_true", help="overwrite an existing sheet")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.paper_document import paper_document
    from spectro.words.next_step import command
    from spectro.workflow.paper.describe import paper_describe

    with progress_line(arguments) as progress:
        sheet = paper_describe(
            arguments.readings,
            options=reading_options(arguments),
            light=arguments.illuminant,
            adaptation=arguments.adaptation,
            over_black=arguments.over_black,
            backing=arguments.backing,
            name=arguments.name,
            report=arguments.report,
            pdf=arguments.pdf,
            replace=arguments.replace,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
    following = command("paper", "compare", "old=OLD.txt", f"new={arguments.readings[0]}")
    return print_document(paper_document(sheet), arguments, following=following, Sheet=arguments.report, PDF=arguments.pdf)
