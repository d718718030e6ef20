"""`spectro readings watch`"""

import argparse
from pathlib import Path

from spectro.cli.options import number
from spectro.cli.printing import speak
from spectro.cli.readings_take import add_sitting_options, print_sitting, speaker
from spectro.cli.shelf_options import wanted_condition


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the folder into which the instrument's software exports")
    parser.add_argument("--chart", type=Path, required=True, metavar="CHART_FOLDER", help="the folder of the printed chart")
    add_sitting_options(parser)
    parser.add_argument("--once", action="store_true", help="take the files that are there and stop")
    parser.add_argument("--stop-after", type=number(0, 1e9), metavar="SECONDS", help="stop when no new file came for so long")
    parser.add_argument(
        "--poll-seconds", type=number(0, 86_400), default=1.0, metavar="SECONDS", help="time between two looks (%(default)g)"
    )
    parser.add_argument(
        "--answer", choices=["keep"], help="keep: take files in which something seems wrong too; without it they are left"
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the command. Returns 0 when the chart is read, 3 when patches are missing."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.conditions import Backing, MeasurementCondition
    from spectro.records.sitting import Answer
    from spectro.workflow.readings.watch import readings_watch

    wanted_condition(arguments)  # one that is not there is refused before anything is read
    condition = arguments.measurement_condition
    try:
        result = readings_watch(
            arguments.folder,
            chart=arguments.chart,
            sitting=arguments.sitting,
            measurement_condition=MeasurementCondition(condition) if condition else None,
            backing=Backing(arguments.backing) if arguments.backing else None,
            printed=arguments.printed,
            predict_with=arguments.predict_with,
            tolerances=read_tolerances(arguments.tolerances),
            answer=Answer.KEEP if arguments.answer else None,
            anchor_limit=arguments.anchor_limit,
            poll_seconds=max(arguments.poll_seconds, 0.05),
            stop_after=arguments.stop_after,
            once=arguments.once,
            insist=arguments.insist or "",
            out=arguments.out,
            replace=arguments.replace,
            say=speaker(arguments),
        )
    except KeyboardInterrupt:
        speak("\nWhat was taken is on the disk; the same command goes on.\n")
        raise
    print_sitting(result, arguments)
    return 0 if result.finished and not result.faulty else 3
