"""`spectro readings take`"""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.argument_names import with_options
from spectro.cli.help_layers import earlier_name
from spectro.cli.options import (
    add_condition_option,
    add_insist_option,
    add_list_option,
    add_tolerances_option,
    number,
    setting_pair,
)
from spectro.cli.printing import print_document, speak
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition

if TYPE_CHECKING:
    from spectro.records.sitting import Answer, Prompt, SittingResult


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("chart", type=Path, metavar="CHART_FOLDER", help="the folder of the printed chart")
    parser.add_argument(
        "--from",
        dest="source",
        metavar="SOURCE",
        help="lines of text: - for standard input, a file that grows, or serial:PORT (serial:PORT@SPEED)",
    )
    parser.add_argument("--instrument", metavar="NAME", help="the driver of an instrument; stand-in invents its readings")
    setting = add_list_option(
        parser, "--instrument-setting", "NAME=VALUE", "settings of the instrument's driver", kind=setting_pair, dest="setting"
    )
    earlier_name(parser, setting, "--setting")
    add_sitting_options(parser)
    parser.add_argument(
        "--stop-after", type=number(0, 1e9), metavar="SECONDS", help="stop where a file or port brings nothing new for so long"
    )
    parser.add_argument(
        "--answer",
        choices=["keep", "turn", "swap", "again"],
        help="what is done with all that seems wrong; without it you are asked, or where nobody can be asked it is read "
        "again, and kept as questionable the third time",
    )
    parser.add_argument(
        "--new-anchors", action="store_true", help="the next anchors are what all later ones are compared with, not the first"
    )
    parser.add_argument("--export", action="store_true", help="write what was read so far; read nothing")


def add_sitting_options(parser: argparse.ArgumentParser) -> None:
    """Add the options that all sittings share."""
    parser.add_argument("--sitting", type=Path, metavar="FOLDER", help="the sitting's folder (sitting in the chart folder)")
    add_condition_option(parser, "what the source does not state (ISO 13655); no default")
    parser.add_argument(
        "--backing", choices=["white", "black"], help="what lies behind the sheet, where the source does not say"
    )
    parser.add_argument("--printed", metavar="DATE", help="when the chart was printed, such as 2026-01-31")
    parser.add_argument(
        "--out",
        type=Path,
        metavar="FILE",
        help="the readings to write at the end: .csv, .xlsx, .cxf, else CGATS text (in the sitting)",
    )
    parser.add_argument("--predict-with", type=Path, metavar="FILE", help="a profile, or readings, of this printing condition")
    parser.add_argument(
        "--anchor-limit",
        type=number(0, 100, above=True),
        metavar="DE",
        help="how far the anchors (patches read again and again) may move, ΔE00, before parts are not joined",
    )
    add_on_shelf_options(parser, "that keeps the readings when the sitting is finished")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing file of readings")
    add_insist_option(parser)
    add_tolerances_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 0 when the sitting is finished or was exported, 3 when more is to be read or misread."""
    from spectro.cli.printing import outlet
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import Backing, MeasurementCondition
    from spectro.records.sitting import Answer, SittingRules
    from spectro.workflow.readings.take import readings_take

    wanted_condition(arguments)  # one that is not there is refused before anything is read
    answers = {"keep": Answer.KEEP, "turn": Answer.TURN, "swap": Answer.SWAP, "again": Answer.AGAIN}
    interactive = arguments.source != "-" and sys.stdin.isatty() and arguments.answer is None
    condition = arguments.measurement_condition
    try:
        result = readings_take(
            arguments.chart,
            source=arguments.source,
            instrument=arguments.instrument,
            settings=dict(arguments.setting),
            sitting=arguments.sitting,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            backing=Backing(arguments.backing) if arguments.backing else None,
            printed=arguments.printed,
            predict_with=arguments.predict_with,
            tolerances=read_tolerances(arguments.tolerances),
            rules=SittingRules(answer=answers.get(arguments.answer or ""), anchor_limit=arguments.anchor_limit),
            stop_after=arguments.stop_after,
            new_anchors=arguments.new_anchors,
            export=arguments.export,
            insist=arguments.insist or "",
            out=arguments.out,
            replace=arguments.replace,
            say=outlet.say if outlet else speaker(arguments),
            ask=outlet.ask if outlet else ask_person if interactive else None,
            seen=outlet.seen if outlet else None,
            aside=outlet.aside if outlet else bytes,
        )
    except KeyboardInterrupt:
        speak("\nWhat was accepted is on the disk; the same command goes on.\n")
        raise
    print_sitting(result, arguments)
    return 0 if (result.finished or arguments.export) and not result.faulty else 3


def speaker(arguments: argparse.Namespace) -> Callable[[str], None]:
    """Return what tells the person at the instrument: standard error, one line a sentence; nothing with --quiet."""

    def say(words: str) -> None:
        if not arguments.quiet:
            speak(f"{with_options(words, arguments.options)}\n")

    return say


def ask_person(prompt: "Prompt") -> "Answer":
    """Ask at the terminal which of the offers is taken, until one of them is named.

    Returns AGAIN at the end of input, and where somebody would rather stop.
    """
    from spectro.records.sitting import Answer, Asks
    from spectro.words.sitting import WORDS

    words = {WORDS[offer.answer]: offer.answer for offer in prompt.offers}
    if prompt.asks == Asks.STOP:
        words["stop"] = Answer.AGAIN
    while True:
        speak(f"{' / '.join(words)}? ")
        line = sys.stdin.readline()
        if not line:
            return Answer.AGAIN
        found = [word for word in words if line.strip() and word.startswith(line.strip().lower())]
        if len(found) == 1:
            return words[found[0]]


def print_sitting(result: "SittingResult", arguments: argparse.Namespace) -> None:
    """Print what a sitting came to; put its readings on the shelf where that was asked for."""
    from spectro.report.sitting_document import sitting_document
    from spectro.words.next_step import after_readings, command
    from spectro.workflow.steps.chart_purpose import chart_purpose, printed_through
    from spectro.workflow.steps.condition_files import role_of
    from spectro.workflow.steps.shelf import keep_readings

    kept, purpose = None, chart_purpose(arguments.chart)
    if arguments.on_shelf and result.readings and result.finished and not (result.invented or result.faulty):
        kept = keep_readings(arguments.shelf, arguments.on_shelf, result.readings, gate=result.gate, role=role_of(purpose))
    if result.readings and result.finished:
        shelved = arguments.on_shelf if kept else ""
        following = after_readings(
            [result.readings], purpose, shelved=shelved or "", chart=arguments.chart, through=printed_through(arguments.chart)
        )
    else:
        following = command(*arguments.command_line)
    print_document(sitting_document(result, arguments.on_shelf, kept), arguments, following=following)
