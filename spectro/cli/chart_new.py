"""`spectro chart new`: make a chart."""

import argparse

from spectro.cli.options import PAGES, add_chart_folder_options, add_printed_words_options, number, printed_words
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "recipe",
        nargs="?",
        default="rgb-a4-strip",
        metavar="RECIPE",
        help="name of a ready recipe (such as rgb-a4-strip, rgb-medium-patch, cmyk-medium-table) or a TOML file; "
        "without one: %(default)s",
    )
    add_chart_folder_options(parser)
    parser.add_argument("--patches", type=int, metavar="N", help="how many patches, repeats included, 24 to 6000")
    parser.add_argument(
        "--pages", type=int, metavar="N", help="as many patches as fit on N pages; with --patches: at most so many"
    )
    parser.add_argument("--page", metavar="SIZE", help=PAGES)
    parser.add_argument("--channels", metavar="NAMES", help="RGB, CMYK, grey, or inks: cyan,magenta,yellow,black,orange,green")
    parser.add_argument(
        "--total-area", type=number(0, 2000, above=True), metavar="PERCENT", help="ink charts: the most ink of any patch"
    )
    parser.add_argument("--seed", type=int, metavar="N", help="another seed gives other patches in another order")
    add_printed_words_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make the chart and print what was made and why. Returns 0."""
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.chart.new import chart_new

    with progress_line(arguments) as progress:
        result = chart_new(
            arguments.recipe,
            arguments.out,
            patches=arguments.patches,
            pages=arguments.pages,
            page=arguments.page,
            channels=arguments.channels,
            total_area=arguments.total_area,
            seed=arguments.seed,
            title=arguments.title,
            **printed_words(arguments),
            replace=arguments.replace,
            progress=progress,
        )
    named = f"Recipe {result.recipe}, chart {result.chart_id}, seed {result.seed}."
    following = after_chart(result.folder, result.purpose, shelved=arguments.on_shelf or "")
    return print_document(chart_document(result, named), arguments, following=following)
