"""`spectro shelf new`"""

import argparse

from spectro.cli.printing import print_document
from spectro.cli.shelf_options import add_shelf_option
from spectro.records.printing_condition import LABELS

_HELP = {
    "printer": "the printer (needed, unless --like has it)",
    "paper": "the paper by name (needed, unless --like has it)",
    "driver": "the driver and its version",
    "connection": "such as USB or network",
    "media_setting": "the paper that is chosen in the driver",
    "quality": "the print quality that is chosen in the driver",
    "passes": "number of passes, one or both directions",
    "resolution": "such as 1440 dpi",
    "rip": "name and version of the RIP",
    "linearisation": "of the RIP: its file, or the day it was made",
    "ink_limits": "of the RIP: in each channel, and in all",
    "feed": "where the paper goes in: tray, rear, roll",
    "colour_setting": "what the driver is set to do with colour",
    "coating": "coating or varnish over the print",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    for name, label in LABELS.items():
        parser.add_argument(f"--{name.replace('_', '-')}", metavar="TEXT", help=_HELP.get(name, label))
    parser.add_argument(
        "--reminder-weeks",
        type=int,
        metavar="N",
        help="weeks from one check of drift to the next, 0 for none (4; common practice)",
    )
    parser.add_argument(
        "--like", metavar="NAME", help="copy a condition of the shelf, or a condition file (.toml), and change what is given"
    )
    add_shelf_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Make the condition and print its short name first."""
    from spectro.report.shelf_document import new_document
    from spectro.words.next_step import after_condition
    from spectro.workflow.shelf.new import shelf_new

    fields = {name: getattr(arguments, name) for name in LABELS if getattr(arguments, name) is not None}
    if arguments.reminder_weeks is not None:
        fields["reminder_weeks"] = arguments.reminder_weeks
    stored, new = shelf_new(fields, shelf=arguments.shelf, like=arguments.like)
    return print_document(new_document(stored, new), arguments, following=after_condition(stored.name))
