"""`spectro chart show`: what a chart holds; which chart and page a picture or code is of."""

import argparse
from pathlib import Path

from spectro.cli.options import add_list_option
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's own arguments."""
    parser.add_argument(
        "what",
        metavar="WHAT",
        help="a chart folder; or a photo or scan of a page (PNG, JPEG, TIFF); or the line next to a page's square, in quotes",
    )
    add_list_option(
        parser,
        "--among",
        "FOLDER",
        "chart folders, or folders of them, in which the chart of the page is looked for",
        kind=Path,
    )


def run(arguments: argparse.Namespace) -> int:
    """Show what was found. Returns 0; 3 where files are missing or changed, or no folder has the page."""
    from spectro.records.chart_listing import ChartListing
    from spectro.report.chart_document import listing_document, page_document
    from spectro.words.next_step import after_chart
    from spectro.workflow.chart.show import chart_show
    from spectro.workflow.steps.chart_purpose import chart_purpose

    with progress_line(arguments) as progress:
        found = chart_show(arguments.what, among=arguments.among, progress=progress)
    if isinstance(found, ChartListing):
        following = after_chart(found.folder, chart_purpose(found.folder)) if found.sound else ""
        return print_document(listing_document(found), arguments, following=following)
    folder = next((match.folder for page in found.pages for match in page.matches), None)
    following = after_chart(folder, chart_purpose(folder)) if folder else ""
    return print_document(page_document(found), arguments, following=following)
