"""`spectro inks chart`"""

import argparse

from spectro.cli.inks_options import add_light_inks_option, add_pages_options
from spectro.cli.options import PAGES, add_chart_folder_options, number
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "--channels", default="CMYK", metavar="NAMES", help="CMYK, or inks: cyan,magenta,yellow,black,orange,green (CMYK)"
    )
    parser.add_argument(
        "--reader",
        choices=["patch", "strip", "sheet", "table"],
        default="strip",
        help="what reads it, as for chart new (strip)",
    )
    parser.add_argument("--page", metavar="SIZE", help=PAGES)
    parser.add_argument(
        "--total-area", type=number(0, 2000, above=True), metavar="PERCENT", help="the most ink of any patch (all)"
    )
    add_light_inks_option(parser)
    parser.add_argument(
        "--near-neutral",
        action="store_true",
        help="with patches around the greys of cyan, magenta and yellow, for inks curves --curve-aim near-neutral",
    )
    add_pages_options(parser)
    add_chart_folder_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make the chart and print what was made. Returns 0."""
    from spectro.records.chart import Reader
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.inks.chart import inks_chart

    with progress_line(arguments) as progress:
        result = inks_chart(
            arguments.channels,
            arguments.out,
            reader=Reader(arguments.reader),
            page=arguments.page,
            total_area=arguments.total_area,
            near_neutral=arguments.near_neutral,
            light_inks=arguments.light_inks,
            stages=arguments.stages,
            on=arguments.on,
            in_pages=arguments.in_pages,
            title=arguments.title,
            replace=arguments.replace,
            progress=progress,
        )
    named = f"Chart {result.chart_id}, seed {result.seed}."
    return print_document(chart_document(result, named), arguments, following=after_chart(result.folder, result.purpose))
