"""Bare `spectro`: the questions people come with, and what is unfinished or due."""

import argparse

from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Say what there is to do. Returns 0."""
    from spectro.report.start_document import start_document
    from spectro.workflow.start import start

    return print_document(start_document(start(arguments.shelf)), arguments)
