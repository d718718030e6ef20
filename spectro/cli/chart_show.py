"""`spectro chart show`: what a chart holds; which chart and page a picture or code is of."""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "what",
        metavar="WHAT",
        help="a chart folder; or a photo or scan of a page (PNG, JPEG, TIFF); or the line beside a page's square, in quotes",
    )
    parser.add_argument(
        "--among",
        action="extend",
        nargs="+",
        type=Path,
        default=[],
        metavar="FOLDER",
        help="chart folders, or folders of them, in which the chart of the page is looked for",
    )


def run(arguments: argparse.Namespace) -> int:
    """Show what was found. Returns 0; 3 where files are missing or changed, or no folder has the page."""
    from spectro.records.chart_listing import ChartListing
    from spectro.report.chart_document import listing_document, page_document
    from spectro.workflow.chart.show import chart_show

    with progress_line(arguments) as progress:
        found = chart_show(arguments.what, among=arguments.among, progress=progress)
    return print_document(listing_document(found) if isinstance(found, ChartListing) else page_document(found), arguments)
