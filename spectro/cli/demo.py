"""`spectro demo`"""

import argparse
from pathlib import Path

from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="the folder to make (spectro-demo in this one)")
    parser.add_argument(
        "--inks",
        default="",
        metavar="NAMES",
        help="a press behind a RIP instead of a photo printer: three to eight inks such as "
        "cyan,magenta,yellow,black,orange,green",
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from spectro.cli.inks_options import light_inks_said
    from spectro.report.demo_document import demo_document
    from spectro.words.next_step import command, ink_words
    from spectro.workflow.demo import demo

    inks = tuple(word.strip() for word in arguments.inks.split(",") if word.strip())
    with progress_line(arguments) as progress:
        result = demo(arguments.out, inks, progress=progress)
    following = (
        command("inks", "chart", "--channels", ink_words(inks), *light_inks_said(inks)) if inks else command("chart", "new")
    )
    return print_document(demo_document(result), arguments, following=f"{following} --out {'inks' if inks else 'chart'}")
