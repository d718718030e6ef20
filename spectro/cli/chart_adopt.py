"""`spectro chart adopt`: take over a chart made elsewhere."""

import argparse
from pathlib import Path

from spectro.cli.options import MODES, add_chart_folder_options, add_columns_option, add_list_option, add_scale_option
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "lists",
        nargs="+",
        type=Path,
        metavar="FILE",
        help="reference list or readings of the chart (CGATS, CxF3, CSV, .xlsx); one file, or one a page",
    )
    add_chart_folder_options(parser, "what the chart is called; without it: what the files say")
    parser.add_argument(
        "--patches-a-strip", type=int, metavar="N", help="the layout where the files do not tell it (and instead of them)"
    )
    parser.add_argument("--strips-a-page", type=int, metavar="N", help="where one file holds several pages")
    parser.add_argument(
        "--listed",
        choices=["by-strip", "across"],
        default="by-strip",
        help="with --patches-a-strip: the list runs along each strip, or across the strips (%(default)s)",
    )
    parser.add_argument(
        "--strips",
        choices=["columns", "rows"],
        default="columns",
        help="what is read in one sweep: a column (all patches of one letter), or a row (%(default)s)",
    )
    parser.add_argument(
        "--mode",
        choices=MODES,
        default="by-strip",
        help="how the chart is going to be read (%(default)s)",
    )
    parser.add_argument(
        "--channels", metavar="NAMES", help="channels where the files do not name them: grey, or inks such as cyan,black,orange"
    )
    add_list_option(
        parser, "--ink-colours", "NAME=L,a,b", "what the full tone of an ink of one's own name looks like", kind=ink_colour
    )
    add_columns_option(parser, "what a table's columns mean where their names do not tell, such as RGB_R=red or ROW=line")
    add_scale_option(parser)


def ink_colour(text: str) -> tuple[str, tuple[float, ...]]:
    """Return name and Lab of `NAME=L,a,b`."""
    name, _, lab = text.partition("=")
    try:
        numbers = tuple(float(part) for part in lab.split(","))
    except ValueError:
        numbers = ()
    if not name.strip() or len(numbers) != 3:
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=L,a,b, such as copper=55,25,35")
    return name.strip(), numbers


def run(arguments: argparse.Namespace) -> int:
    """Adopt the chart and print what was found where. Returns 0."""
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.chart.adopt import chart_adopt

    with progress_line(arguments) as progress:
        result = chart_adopt(
            arguments.lists,
            arguments.out,
            patches_a_strip=arguments.patches_a_strip,
            strips_a_page=arguments.strips_a_page,
            listed=arguments.listed,
            strips=arguments.strips,
            mode=arguments.mode,
            channels=arguments.channels,
            ink_colours=dict(arguments.ink_colours),
            columns=dict(arguments.columns),
            device_scale=arguments.device_scale,
            title=arguments.title,
            replace=arguments.replace,
            progress=progress,
        )
    named = f"Chart {result.chart_id}: {result.title}, from {result.recipe}."
    following = after_chart(result.folder, result.purpose)
    return print_document(chart_document(result, named), arguments, following=following)
