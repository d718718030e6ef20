"""`spectro aim check`"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from spectro.cli.options import add_reading_options, add_report_options, add_tolerances_option, reading_options
from spectro.cli.printing import print_document, reporting
from spectro.cli.shelf_options import add_on_shelf_options, wanted_condition, with_kept

if TYPE_CHECKING:
    from spectro.workflow.steps.condition_files import Kept

KINDS = ("contract-proof", "validation-print", "press-run")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    add_reading_options(parser)
    parser.add_argument(
        "--aim",
        type=Path,
        required=True,
        metavar="AIM",
        help="the colours to be reached: a characterization data set, a TOML file that names one with limits of its own, or "
        "the name of an aim on the shelf",
    )
    parser.add_argument(
        "--judge-as", choices=KINDS, metavar="KIND", help=f"what the print is judged as: {', '.join(KINDS)} (contract-proof)"
    )
    parser.add_argument(
        "--aim-condition",
        choices=["M0", "M1", "M2", "M3"],
        help="the aim's measurement condition, where its file does not say it",
    )
    parser.add_argument("--aim-backing", choices=["white", "black"], help="the aim's backing, where its file does not say it")
    parser.add_argument(
        "--substrate-corrected",
        action="store_true",
        help="carry the aim over to the print's paper; for production, not for proofs",
    )
    parser.add_argument(
        "--ok-sheet", type=Path, metavar="FILE", help="readings of the OK sheet, which solids of a press run are compared with"
    )
    parser.add_argument("--label", type=Path, metavar="FILE", help="write a label to go with the print, .pdf or .html")
    add_tolerances_option(parser)
    add_report_options(parser)
    add_on_shelf_options(parser, "that keeps readings, aim and report")
    parser.add_argument("--replace", action="store_true", help="overwrite an existing report or label")


def run(arguments: argparse.Namespace) -> int:
    """Judge the print. Returns 3 where a limit is missed."""
    wanted_condition(arguments)  # one that is not there is refused before anything is read
    if arguments.aim.exists():  # the shelf costs a third of the start-up, and is not asked
        return _check(arguments, arguments.aim, None)
    from spectro.workflow.steps.condition_files import condition_files

    with condition_files(arguments.shelf) as files:
        kept = files.aim(arguments.aim)
        return _check(arguments, kept.path if kept else arguments.aim, kept)


def _check(arguments: argparse.Namespace, aim: Path, shelved: "Kept | None") -> int:
    from dataclasses import replace

    from spectro.files.atomic import check_outputs
    from spectro.files.tolerance_file import read_tolerances
    from spectro.records.aim import PrintKind
    from spectro.records.conditions import Backing, MeasurementCondition
    from spectro.report.aim_document import aim_document, label_document
    from spectro.words.next_step import command
    from spectro.workflow.aim.check import aim_check, write_label
    from spectro.workflow.steps.aims_and_links import keep_check_of_aim

    check_outputs(arguments.label, replace=arguments.replace)
    with reporting(arguments) as (progress, report):
        found = aim_check(
            arguments.readings,
            aim,
            options=reading_options(arguments),
            kind=PrintKind(arguments.judge_as) if arguments.judge_as else None,
            aim_condition=MeasurementCondition(arguments.aim_condition) if arguments.aim_condition else None,
            aim_backing=Backing(arguments.aim_backing) if arguments.aim_backing else None,
            substrate_corrected=arguments.substrate_corrected,
            ok_sheet=arguments.ok_sheet,
            tolerances=read_tolerances(arguments.tolerances),
            progress=progress,
        )
        found = replace(found, kept_as=shelved.words if shelved else "")
        document = report(aim_document(found))
        if arguments.label:
            write_label(label_document(found), arguments.label, replace=arguments.replace)
    if arguments.on_shelf:
        kept = keep_check_of_aim(
            arguments.shelf, arguments.on_shelf, found, arguments.readings, aim, shelved.name if shelved else ""
        )
        document = with_kept(document, arguments.on_shelf, kept)
    following = (
        command("readings", "show", arguments.readings[0]) if found.failed else command("colours", arguments.readings[0])
    )
    return print_document(
        document, arguments, following=following, Report=arguments.report, PDF=arguments.pdf, Label=arguments.label
    )
