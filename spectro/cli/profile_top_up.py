"""`spectro profile top-up`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options, add_tolerances_option, reading_options
from spectro.cli.printing import print_document, progress_line


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument("--patches", type=int, default=60, metavar="N", help="how many patches are chosen, 12 to 400 (60)")
    parser.add_argument(
        "--recipe", default="rgb-a4-strip", help="the recipe whose page and reading mode are taken (rgb-a4-strip)"
    )
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write the recipe and its patches (else: only say)")
    parser.add_argument("--replace", action="store_true", help="overwrite files of an earlier top-up")
    add_tolerances_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Say what a further chart would bring, and write its recipe where that is asked for. Returns 0."""
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.profile_document import top_up_document
    from spectro.words.next_step import command, pages_of_recipe
    from spectro.workflow.profile.top_up import profile_top_up

    reading, tolerances = reading_options(arguments), read_tolerances(arguments.tolerances)
    with progress_line(arguments) as progress:
        found = profile_top_up(
            arguments.readings,
            arguments.out,
            patches=arguments.patches,
            recipe=arguments.recipe,
            chart=reading.chart,
            measurement_condition=reading.condition,
            device_scale=reading.device_scale,
            columns=reading.columns,
            insist=reading.insist,
            tolerances=tolerances,
            replace_files=arguments.replace,
            progress=progress,
        )
    following = pages_of_recipe(found.recipe) if found.recipe else command(*arguments.command_line, "--out", "top-up")
    return print_document(top_up_document(found), arguments, following=following)
