"""`spectro chart new`: make a chart."""

import argparse

from spectro.cli.inks_options import add_light_inks_option, add_pages_options
from spectro.cli.options import PAGES, add_chart_folder_options, add_printed_words_options, number, printed_words
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_options import with_chart_kept


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "recipe",
        nargs="?",
        metavar="RECIPE",
        help="a ready recipe by name (spectro chart list tells them) or a TOML file; without one it follows the reader",
    )
    parser.add_argument(
        "--reader",
        choices=["patch", "strip", "sheet", "table"],
        help="what reads it: set down on each patch, swept along strips by hand, a sheet-fed one, or a table (strip)",
    )
    parser.add_argument("--page", metavar="SIZE", help=PAGES)
    parser.add_argument("--minutes", type=float, metavar="N", help="as many patches as can be read in so long")
    parser.add_argument(
        "--patches", type=patch_count, metavar="N|most", help="how many patches, 24 to 6000; most: as many as fit on the pages"
    )
    parser.add_argument(
        "--pages", type=int, metavar="N", help="as many patches as fit on N pages; with --patches: at most so many"
    )
    add_chart_folder_options(parser)
    more = parser.add_argument_group("other inks, other patches")
    more.add_argument("--channels", metavar="NAMES", help="RGB, CMYK, grey, or inks: cyan,magenta,yellow,black,orange,green")
    more.add_argument(
        "--total-area", type=number(0, 2000, above=True), metavar="PERCENT", help="ink charts: the most ink of any patch"
    )
    add_light_inks_option(more)
    add_pages_options(more)
    more.add_argument("--seed", type=int, metavar="N", help="another seed gives other patches in another order")
    add_printed_words_options(parser)


def patch_count(text: str) -> int:
    """Return a number of patches, 0 for as many as fit."""
    if text == "most":
        return 0
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no number; most means as many as fit") from None


def run(arguments: argparse.Namespace) -> int:
    """Make the chart and print what was made and why. Returns 0."""
    from spectro.records.chart import ChartWish, Reader
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.chart.new import chart_new

    with progress_line(arguments) as progress:
        result = chart_new(
            arguments.recipe,
            arguments.out,
            patches=arguments.patches or None,
            pages=arguments.pages,
            page=arguments.page,
            channels=arguments.channels,
            total_area=arguments.total_area,
            light_inks=arguments.light_inks,
            seed=arguments.seed,
            title=arguments.title,
            **printed_words(arguments),
            wish=ChartWish(
                reader=Reader(arguments.reader) if arguments.reader else None,
                minutes=arguments.minutes,
                fill=arguments.patches == 0,
            ),
            stages=arguments.stages,
            on=arguments.on,
            in_pages=arguments.in_pages,
            replace=arguments.replace,
            progress=progress,
        )
    named = f"Recipe {result.recipe}, chart {result.chart_id}, seed {result.seed}."
    following = after_chart(result.folder, result.purpose, shelved=arguments.on_shelf or "")
    document = with_chart_kept(chart_document(result, named), arguments, result)
    return print_document(document, arguments, following=following)
