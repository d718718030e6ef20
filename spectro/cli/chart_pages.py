"""`spectro chart pages`: lay a chart out again."""

import argparse
from pathlib import Path

from spectro.cli.options import MODES, PAGES
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument("chart", type=Path, metavar="FOLDER", help="the chart folder to lay out again")
    parser.add_argument("--out", type=Path, required=True, metavar="NEW", help="the chart folder to make")
    parser.add_argument("--page", metavar="SIZE", help=PAGES)
    parser.add_argument(
        "--recipe",
        metavar="NAME",
        help="take page, patches and reading of a ready recipe (such as rgb-aperture-2.5mm-strip, cmyk-patch) or a TOML file",
    )
    parser.add_argument("--mode", choices=MODES, help="how it is going to be read")
    parser.add_argument("--patch", metavar="SIZE", help="width and height of a patch, such as 8x7mm")
    parser.add_argument("--aperture", metavar="LENGTH", help="what the instrument sees, such as 4.5mm; no patch may be smaller")
    parser.add_argument(
        "--order",
        choices=["kept", "new"],
        help="of the patches; without it: a new one only where the old one would give strips that look alike",
    )
    parser.add_argument("--title", metavar="TEXT", help="the title printed on the pages; without it: says where it came from")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing chart folder")


def run(arguments: argparse.Namespace) -> int:
    """Lay the chart out and print what was chosen and why. Returns 0."""
    from spectro.report.chart_document import chart_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.chart.pages import chart_pages

    with progress_line(arguments) as progress:
        result = chart_pages(
            arguments.chart,
            arguments.out,
            recipe=arguments.recipe,
            page=arguments.page,
            mode=arguments.mode,
            patch=arguments.patch,
            aperture=arguments.aperture,
            order=arguments.order,
            title=arguments.title,
            replace=arguments.replace,
            progress=progress,
        )
    following = after_chart(result.folder, result.purpose)
    document = chart_document(result, f"Chart {result.chart_id}: {result.title}.")
    return print_document(document, arguments, following=following)
