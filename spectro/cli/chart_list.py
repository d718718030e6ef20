"""`spectro chart list`"""

import argparse

from spectro.cli.printing import print_document


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments: it has none of its own."""


def run(arguments: argparse.Namespace) -> int:
    """List the ready recipes. Returns 0."""
    from spectro.report.chart_document import recipes_document
    from spectro.words.next_step import command
    from spectro.workflow.chart.list import chart_list

    following = command("chart", "new", "--reader", "strip", "--page", "a4", "--minutes", "20")
    return print_document(recipes_document(chart_list()), arguments, following=following)
