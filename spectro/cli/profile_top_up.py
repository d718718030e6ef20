"""`spectro profile top-up`"""

import argparse
from pathlib import Path

from spectro.cli.options import add_reading_options, add_tolerances_option, reading_options
from spectro.cli.printing import print_document, progress_line
from spectro.cli.shelf_names import first_chart, working_from_shelf
from spectro.cli.shelf_options import add_on_shelf_options


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser, named=True)
    parser.add_argument("--patches", type=int, default=60, metavar="N", help="how many patches are chosen, 12 to 400 (60)")
    parser.add_argument(
        "--recipe",
        metavar="RECIPE|CHART",
        help="whose page and reading are taken: the folder of the first chart, or a recipe (the condition's first chart on "
        "the shelf, else rgb-a4-strip)",
    )
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write the recipe and its patches (else: only say)")
    parser.add_argument("--replace", action="store_true", help="overwrite files of an earlier top-up")
    add_tolerances_option(parser)
    add_on_shelf_options(parser, "whose first chart says page and reading")


def run(arguments: argparse.Namespace) -> int:
    """Say what a further chart would bring, and write its recipe where that is asked for. Returns 0."""
    with working_from_shelf(arguments, arguments.readings[0] if len(arguments.readings) == 1 else None) as (files, name):
        if name:
            arguments.readings = [files.readings(name)]
        arguments.recipe = arguments.recipe or first_chart(files, arguments) or "rgb-a4-strip"
        return _top_up(arguments)


def _top_up(arguments: argparse.Namespace) -> int:
    from spectro.files.tolerance_file import read_tolerances
    from spectro.report.profile_document import top_up_document
    from spectro.words.next_step import command, pages_of_recipe
    from spectro.workflow.profile.top_up import profile_top_up

    tolerances = read_tolerances(arguments.tolerances)
    with progress_line(arguments) as progress:
        found = profile_top_up(
            arguments.readings,
            arguments.out,
            patches=arguments.patches,
            recipe=arguments.recipe,
            options=reading_options(arguments),
            tolerances=tolerances,
            replace_files=arguments.replace,
            progress=progress,
        )
    following = (
        pages_of_recipe(found.recipe, shelved=arguments.on_shelf or "")
        if found.recipe
        else command(*arguments.command_line, "--out", "top-up")
    )
    return print_document(top_up_document(found), arguments, following=following)
