"""Options that the commands of `spectro inks` share."""

import argparse
from pathlib import Path

from spectro.cli.options import number

STAGES = ("limits", "curves", "total")


def add_stages_options(parser: argparse._ActionsContainer, on: str) -> None:
    """Add what the press is set to, and which of it was on. on: help."""
    parser.add_argument("--stages", type=Path, metavar="FILE.toml", help="what the press is set to so far, as --out wrote it")
    parser.add_argument("--on", choices=STAGES, nargs="+", action="extend", default=[], metavar="STAGE", help=on)


def add_separation_options(parser: argparse._ActionsContainer, *, kept: bool = False) -> None:
    """Add what a person may choose of a separation. kept: what is not chosen is as in an older profile."""
    usual = "as in the profile before" if kept else None
    parser.add_argument(
        "--total-area",
        type=number(0, 1000),
        metavar="PERCENT",
        help="inks: most ink of all channels together "
        f"({usual or 'the least of 300, the most that was measured, and where more ink darkens no more'})",
    )
    parser.add_argument(
        "--black-share",
        default=None if kept else "usual",
        metavar="SHARE",
        help="inks: how much black ink dark colours carry: fine (late: least grain), usual, steady (early: greys shift least "
        "under other lamps), none (only where colours need it), most (in place of other inks), or a CSV file with the columns "
        f"lightness, black ({usual or 'usual'})",
    )
    parser.add_argument(
        "--black-ceiling",
        type=number(0, 100),
        metavar="PERCENT",
        help=f"inks: most black ink of any colour ({usual or '100'})",
    )
    parser.add_argument(
        "--lean",
        action="store_true",
        help="inks: a separation that needs less ink: black in place of other inks, and the least total area that leaves greys "
        "nearly as dark; says what it saves and costs",
    )
    add_stages_options(
        parser, "inks: stages of --stages that were on when the chart was printed: limits, curves, total (limits and curves)"
    )


def add_pages_options(parser: argparse._ActionsContainer) -> None:
    """Add what the press is set to, which of it is on when pages are printed, and whether the pages hold it."""
    add_stages_options(parser, "stages of --stages that are on when it is printed: limits, curves, total (limits and curves)")
    parser.add_argument(
        "--in-pages", action="store_true", help="the pages hold limits and curves, for a RIP that is to print them as they are"
    )


def add_light_inks_option(parser: argparse._ActionsContainer) -> None:
    """Add whether light inks are channels."""
    parser.add_argument(
        "--light-inks",
        choices=["own", "split"],
        help="whether the RIP takes light inks as channels of their own, or splits cyan, magenta and black into them itself: "
        "then they are no channels, and are left out",
    )


def add_found_options(parser: argparse._ActionsContainer) -> None:
    """Add the options of commands that find a stage from readings."""
    add_stages_options(parser, "stages of --stages that were on when the chart was printed: limits, curves, total (none)")
    parser.add_argument(
        "--inks", metavar="NAMES", default="", help="names of the inks, with commas between, where the readings have none"
    )
    parser.add_argument("--out", type=Path, metavar="FILE.toml", help="write what the press is set to with this")


def ink_names(arguments: argparse.Namespace) -> tuple[str, ...]:
    """Return the names that were given."""
    return tuple(name.strip() for name in arguments.inks.split(",") if name.strip())


def ink_percent(text: str) -> tuple[str, float]:
    """Return an ink, or total, and a percentage: cyan=90."""
    name, equals, value = text.partition("=")
    try:
        percent = float(value.strip().removesuffix("%"))
    except ValueError:
        percent = float("nan")
    if not name.strip() or not equals or not 0 < percent <= 1000:
        raise argparse.ArgumentTypeError(f"{text!r} is no ink with a percentage; write cyan=90 or total=280")
    return name.strip(), percent


def light_inks_said(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return what a chart of these inks is to be told of light inks, where there are some: that they are channels."""
    from spectro.records.ink_stages import light_channels

    return ("--light-inks", "own") if light_channels(names) else ()
