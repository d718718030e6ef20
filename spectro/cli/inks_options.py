"""Options that the commands of `spectro inks` share."""

import argparse
from pathlib import Path

STAGES = ("limits", "curves", "total")


def add_stages_options(parser: argparse._ActionsContainer, on: str) -> None:
    """Add what the press is set to, and which of it was on. on: help."""
    parser.add_argument("--stages", type=Path, metavar="FILE.toml", help="what the press is set to so far, as --out wrote it")
    parser.add_argument("--on", choices=STAGES, nargs="+", action="extend", default=[], metavar="STAGE", help=on)


def add_pages_options(parser: argparse._ActionsContainer) -> None:
    """Add what the press is set to, which of it is on when pages are printed, and whether the pages hold it."""
    add_stages_options(parser, "stages of --stages that are on when it is printed: limits, curves, total (limits and curves)")
    parser.add_argument(
        "--in-pages", action="store_true", help="the pages hold limits and curves, for a RIP that is to print them as they are"
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
